"""The brief on one page of A4 for the meeting at the board: black on white, room to sign."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping

from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas

from traveller.documents.letters import BOLD, PLAIN, load_fonts
from traveller.letters import fitted
from traveller.record.brief.brief import Brief, Line
from traveller.record.brief.matter import Section
from traveller.record.shifts import zone_of

WIDTH, HEIGHT = A4
MARGIN = 12 * mm
SIZE, LEADING = 7.5, 9.6
FOOT = 34 * mm


def board_sheet(brief: Brief, shop: str, called: Callable[[str], str]) -> bytes:
    """The page as PDF. `called` gives the name behind a tag. What has no room is counted, dangers first."""
    load_fonts()
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=A4, invariant=True)
    canvas.setTitle(f"Brief, {brief.turn.name}")
    y = _head(canvas, brief, shop)
    lines = int((y - FOOT) / LEADING)
    for section, room in rooms(brief.counts(), lines).items():
        y = _section(canvas, section, brief.under(section), room, y, called)
    _foot(canvas, brief, called)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def rooms(counts: Mapping[Section, int], lines: int) -> dict[Section, int]:
    """How many lines of each heading are printed, of `lines` in all: every danger and what runs, then the same
    number for all.

    Each heading takes a line for itself, and one more for the count of what is left out.
    """
    left = lines - 2 * len(counts)
    given = dict.fromkeys(counts, 0)

    def give(section: Section, up_to: int) -> None:
        nonlocal left
        more = max(0, min(counts[section], up_to) - given[section])
        given[section] += min(more, left)
        left -= min(more, left)

    for section in (Section.DANGER, Section.RUNNING):
        give(section, lines)
    for up_to in range(1, lines):
        for section in counts:
            give(section, up_to)
    return given


def _head(canvas: Canvas, brief: Brief, shop: str) -> float:
    y: float = HEIGHT - MARGIN - 12
    local = brief.now.astimezone(zone_of(brief.turn.zone))
    _write(canvas, MARGIN, y, f"Brief  {shop}", BOLD, 13)
    _write(canvas, MARGIN, y - 14, brief.turn.in_words(), BOLD, 9)
    printed = f"printed {local:%Y-%m-%d %H:%M} {brief.turn.zone}; an older print is void"
    since = f"changes since {brief.since.astimezone(zone_of(brief.turn.zone)):%a %d %b %H:%M}"
    kept = f"; only {brief.wanted.in_words()}: {brief.hidden} lines are not here" if brief.hidden else ""
    danger = f", {brief.hidden_dangers} of them dangerous" if brief.hidden_dangers else ""
    _write(canvas, MARGIN, y - 26, _fitting(f"{printed}; {since}{kept}{danger}", PLAIN, SIZE, WIDTH - 2 * MARGIN))
    if brief.complaint:
        _write(canvas, MARGIN, y - 36, _fitting(f"! {brief.complaint}", BOLD, SIZE, WIDTH - 2 * MARGIN), BOLD)
    return y - 44


def _section(
    canvas: Canvas, section: Section, lines: list[Line], room: int, y: float, called: Callable[[str], str]
) -> float:
    y -= LEADING
    number = section.rank
    _write(canvas, MARGIN, y, f"{number} {section.upper()} ({len(lines)})", BOLD)
    canvas.setLineWidth(1.4 if section is Section.DANGER and lines else 0.4)
    canvas.line(MARGIN, y - 2, WIDTH - MARGIN, y - 2)
    for line in lines[:room]:
        y -= LEADING
        canvas.setLineWidth(0.5)
        canvas.rect(MARGIN, y - 0.5, 5, 5)
        _write(canvas, MARGIN + 9, y, line.unit or "shop", BOLD)
        at = _text_start(line.unit)
        words = f"{line.what} {line.station.replace('_', ' ')}".strip()
        who = f" ({called(line.matter.by)})" if line.matter.by else ""
        said = f"{words}: {line.says}{who}" if words else f"{line.says}{who}"
        _write(canvas, at, y, _fitting(said.replace("\n", " "), PLAIN, SIZE, WIDTH - MARGIN - at))
    if len(lines) > room:
        y -= LEADING
        _write(canvas, MARGIN + 9, y, f"and {len(lines) - room} more: see the screen (F11)")
    return y


def _text_start(unit: str) -> float:
    indent: float = MARGIN + 9 + (50 if unit else 24)
    return indent


def _foot(canvas: Canvas, brief: Brief, called: Callable[[str], str]) -> None:
    y = FOOT - 8 * mm
    for label, x in (("handed over by", MARGIN), ("taken over by", WIDTH / 2)):
        _write(canvas, x, y, f"{label}: ______________________  date, time: ____________")
    reader = f"printed for {called(brief.reader)}. " if brief.reader else ""
    caution = "Local codes, the maker's manual and the shop's licensed people come first. Prove dead before you touch."
    _write(canvas, MARGIN, y - 16, f"{reader}{caution}")
    _write(
        canvas, MARGIN, y - 26, "Form 1. The signed handing over stands in the record; this page does not replace it"
    )


def _write(canvas: Canvas, x: float, y: float, text: str, font: str = PLAIN, size: float = SIZE) -> None:
    canvas.setFont(font, size)
    canvas.drawString(x, y, _printable(text, font))


def _fitting(text: str, font: str, size: float, width: float) -> str:
    """The text, cut with an ellipsis where the line ends."""
    text = _printable(text, font)
    if pdfmetrics.stringWidth(text, font, size) <= width:
        return text
    while text and pdfmetrics.stringWidth(f"{text}…", font, size) > width:
        text = text[:-1]
    return f"{text.rstrip()}…"


def _printable(text: str, font: str) -> str:
    """One line, with a □ for every character that the font lacks."""
    known = pdfmetrics.getFont(font).face.charToGlyph
    shown, _ = fitted(text, lambda one: ord(one) in known)
    return shown.translate({ord(blank): " " for blank in "\n\t"})
