"""The page that every paper stands on: margins, type, the head and foot of each page, "page n of m"."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Literal, TypeAlias
from xml.sax.saxutils import escape

from reportlab.lib.enums import TA_CENTER, TA_RIGHT
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Frame, LongTable, PageTemplate, Paragraph
from reportlab.platypus.tables import TableStyle

from traveller.documents.letters import BOLD, PLAIN, Letters
from traveller.documents.wording import Words

Paper = Literal["a4", "letter"]
PAPERS: dict[Paper, tuple[float, float]] = {"a4": A4, "letter": LETTER}
SIDE, TOP, BOTTOM = 16 * mm, 18 * mm, 18 * mm
HAIR, RULE = 0.3, 0.8
GREY = 0.45
"""Ink of what is said in passing; dark enough for a tired black-and-white printer."""


def styled(name: str, size: float, leading: float, font: str = PLAIN, **more: Any) -> ParagraphStyle:
    return ParagraphStyle(name, fontName=font, fontSize=size, leading=leading, splitLongWords=1, **more)


TITLE = styled("title", 17, 20, BOLD)
HEADING = styled("heading", 9.5, 12, BOLD, spaceBefore=9, spaceAfter=3)
GROUP = styled("group", 8, 10, BOLD, spaceBefore=4, spaceAfter=1.5)
BODY = styled("body", 8, 10.4)
STRONG = styled("strong", 8, 10.4, BOLD)
CELL = styled("cell", 7.4, 9.2)
CELL_RIGHT = styled("cell right", 7.4, 9.2, alignment=TA_RIGHT)
HEAD = styled("head", 6.8, 8.4, BOLD)
HEAD_RIGHT = styled("head right", 6.8, 8.4, BOLD, alignment=TA_RIGHT)
HEAD_MIDDLE = styled("head middle", 6.8, 8.4, BOLD, alignment=TA_CENTER)
SMALL = styled("small", 6.2, 7.6, textColor=(GREY, GREY, GREY))


@dataclass(frozen=True)
class Margins:
    """What stands on every page outside of the text."""

    identity: str
    name: str
    foot: str
    banner: str
    title: str
    about: str
    day: date


TALL = 900
"""Characters: a row that holds more may be broken in the middle, any other stays on one page."""
Cell: TypeAlias = str | Flowable | list[Flowable]
Row: TypeAlias = Sequence[Cell]


class Sheet:
    """The means that every section lays out with: words, letters, the width of the text."""

    def __init__(self, language: str, paper: Paper) -> None:
        self.words = Words(language)
        self.letters = Letters()
        self.size = PAPERS[paper]
        self.width = self.size[0] - 2 * SIDE

    def say(self, text: str, style: ParagraphStyle = BODY) -> Paragraph:
        """Text as typed by somebody or out of the catalogue; its line breaks are kept."""
        return Paragraph(escape(self.letters(text)).replace("\n", "<br/>"), style)

    def heading(self, key: str) -> list[Flowable]:
        return [CondPageBreak(26 * mm), self.kept_heading(key)]

    def kept_heading(self, key: str) -> Flowable:
        """A heading for what is kept on one page anyway; a conditional break inside would keep nothing together."""
        return self.say(self.words(f"heading.{key}"), HEADING)

    def group(self, title: str) -> list[Flowable]:
        return [CondPageBreak(20 * mm), self.say(title, GROUP)]

    def table(
        self, columns: Sequence[str], rows: Sequence[Row], shares: Sequence[float], right: Sequence[str] = ()
    ) -> Flowable:
        """Rows under a head that is repeated on every page.

        `columns` are keys of the catalogue, `shares` their parts of the width; those in `right` hold numbers.
        """
        heads = [(self.words(f"column.{one}"), HEAD_RIGHT if one in right else HEAD) for one in columns]
        head = [self.say(*one) for one in heads]
        styles = [CELL_RIGHT if one in right else CELL for one in columns]
        body = [[self._cell(*one) for one in zip(row, styles, strict=True)] for row in rows]
        widths = [self.width * share / sum(shares) for share in shares]
        tall = any(_length(held) > TALL for row in body for held in row)
        table = LongTable([head, *body], colWidths=widths, repeatRows=1, splitInRow=int(tall))
        table.setStyle(_TABLE)
        return table

    def _cell(self, held: Cell, style: ParagraphStyle) -> Cell:
        return self.say(held, style) if isinstance(held, str) else held

    def facts(self, rows: Sequence[tuple[str, str]], width: float, labels: float = 0.3) -> Flowable:
        """Label and value, line by line; `labels` is the part of the width that the labels take."""
        cells = [[self.say(label, SMALL), self.say(value, BODY)] for label, value in rows]
        tall = any(len(value) > TALL for _, value in rows)
        table = LongTable(cells, colWidths=[width * labels, width * (1 - labels)], splitInRow=int(tall))
        table.setStyle(_FACTS)
        return table


def _length(held: Cell) -> int:
    """How many characters stand in a cell."""
    if isinstance(held, list):
        return sum(_length(one) for one in held)
    return len(str(getattr(held, "text", "")))


_TABLE = TableStyle(
    [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 5),
        ("TOPPADDING", (0, 0), (-1, -1), 1.6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.8),
        ("LINEBELOW", (0, 0), (-1, 0), RULE, (0, 0, 0)),
        ("LINEBELOW", (0, 1), (-1, -1), HAIR, (0.7, 0.7, 0.7)),
    ]
)
_FACTS = TableStyle(
    [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 4),
        ("TOPPADDING", (0, 0), (-1, -1), 0.4),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 0.8),
    ]
)


def typeset(story: Sequence[Flowable], sheet: Sheet, margins: Margins) -> bytes:
    """The paper as PDF; the same story always gives the same bytes."""
    out = io.BytesIO()
    document = BaseDocTemplate(
        out, pagesize=sheet.size, invariant=1, title=margins.title, author=margins.name, subject=margins.identity
    )
    width, height = sheet.size
    frame = Frame(SIDE, BOTTOM, width - 2 * SIDE, height - TOP - BOTTOM, 0, 0, 0, 0)
    document.addPageTemplates(PageTemplate("page", [frame]))
    document.build(list(story), canvasmaker=_counting(sheet, margins))
    return out.getvalue()


def _counting(sheet: Sheet, margins: Margins) -> Callable[..., Canvas]:
    """A canvas that holds its pages back until it knows how many there are."""

    class Counting(Canvas):  # type: ignore[misc]  # reportlab ships no types
        def __init__(self, *args: Any, **kwargs: Any) -> None:
            super().__init__(*args, **kwargs)
            self._kept: list[dict[str, Any]] = []

        def showPage(self) -> None:  # noqa: N802  # reportlab's name
            self._kept.append(dict(self.__dict__))
            self._startPage()

        def save(self) -> None:
            for number, page in enumerate(self._kept, 1):
                self.__dict__.update(page)
                _draw_margins(self, sheet, margins, number, len(self._kept))
                super().showPage()
            super().save()

    return Counting


def _draw_margins(canvas: Canvas, sheet: Sheet, margins: Margins, number: int, pages: int) -> None:
    width, height = sheet.size
    letters = sheet.letters
    canvas.saveState()
    canvas.setFont(BOLD, 7)
    canvas.drawString(SIDE, height - 11 * mm, letters(margins.title))
    canvas.setFont(PLAIN, 7)
    if number > 1 and not margins.banner:
        canvas.drawCentredString(width / 2, height - 11 * mm, letters(margins.about))
    canvas.drawRightString(width - SIDE, height - 11 * mm, letters(margins.identity))
    canvas.setLineWidth(HAIR)
    canvas.line(SIDE, height - 13 * mm, width - SIDE, height - 13 * mm)
    canvas.line(SIDE, 13 * mm, width - SIDE, 13 * mm)
    canvas.drawString(SIDE, 9.6 * mm, letters(f"{margins.name}  ·  {margins.day}"))
    canvas.drawRightString(width - SIDE, 9.6 * mm, sheet.words("paper.page", n=number, m=pages))
    canvas.setFont(PLAIN, 6.2)
    canvas.drawString(SIDE, 6.6 * mm, letters(margins.foot))
    if margins.banner:
        _draw_banner(canvas, sheet, letters(margins.banner))
    canvas.restoreState()


def _draw_banner(canvas: Canvas, sheet: Sheet, words: str) -> None:
    """Across the head of the page, black on white in a frame: no copier loses it."""
    width, height = sheet.size
    wide = canvas.stringWidth(words, BOLD, 10) + 8 * mm
    canvas.setLineWidth(1.2)
    canvas.rect((width - wide) / 2, height - 12 * mm, wide, 6.4 * mm)
    canvas.setFont(BOLD, 10)
    canvas.drawCentredString(width / 2, height - 10 * mm, words)
