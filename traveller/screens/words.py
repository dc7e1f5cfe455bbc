"""How states, hazards and times are put into words and signs on every screen."""

from __future__ import annotations

from datetime import date, datetime
from functools import lru_cache
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from rich.text import Text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from traveller.record.entries import Answered
    from traveller.record.evidence import Standing
    from traveller.record.view import UnitView
    from traveller.store.cards import Card

KEPT_SIGN = "⇡"
KEPT_HERE = f"{KEPT_SIGN} kept here, not yet shared"
ONE_MOMENT = "One moment: the workshop is still being opened."
AWAY_WORDS = f"{KEPT_HERE}: the database is away."
SIGNS = (
    ("✓", "pass", "answered, inside its limits, not overtaken"),
    ("·", "open", "not answered yet"),
    ("✗", "fail", "outside its limits"),
    ("?", "undecided", "too near the limit for this instrument, or a fact is missing"),
    ("↻", "stale", "true when it was answered, but work was done after it: do it again"),
    ("–", "not applicable", "does not apply here, with the reason"),
    ("§", "conceded", "outside its limits, released with the customer's word"),
    (KEPT_SIGN, "kept", "kept at this terminal, not yet on the record: it is shared when the database is back"),
    ("!", "does not count", "instrument out of calibration or missing, or own work"),
)
BAR = 6
MOST_LEFT = 3


def hazard_lines(view: UnitView) -> list[str]:
    """One line each; where there are more than two, all kinds on one line."""
    known = list(view.unit.hazards.values())
    if len(known) > 2:
        return ["   ".join(f"! {one.kind.label.upper()}" for one in known)]
    return [f"! {one.kind.label.upper()}  {view.proof.found(one)}" for one in known]


def laid_out(parts: Sequence[Text], gap: Text, width: int) -> Text:
    """The parts one behind the other with the gap between; a part that does not fit begins a line of its own."""
    lines = [Text()]
    for part in parts:
        if lines[-1] and lines[-1].cell_len + gap.cell_len + part.cell_len > width:
            lines.append(Text())
        for piece in (gap, part) if lines[-1] else (part,):
            lines[-1].append_text(piece)
    return Text("\n").join(lines)


def shortened(text: str, width: int) -> str:
    """The text, cut with an ellipsis and padded to exactly `width` cells."""
    return f"{text:{width}}" if len(text) <= width else f"{text[: width - 1].rstrip()}…".ljust(width)


def bar(done: int, asked: int) -> str:
    """``■■■□□□ 7/14``."""
    full = BAR if asked == 0 else round(BAR * done / asked)
    full = min(full, BAR - 1) if done < asked else full
    return f"{'■' * full}{'□' * (BAR - full)} {done}/{asked}"


def day_words(day: date | None, today: date) -> str:
    """At most eleven cells: ``Thu 26 Nov``, ``today``, ``late 24 Nov``, ``2 May 2031``."""
    if day is None:
        return "no date"
    if day == today:
        return "today"
    if day < today:
        return f"late {day.day} {day:%b}"
    return f"{day:%a} {day.day} {day:%b}" if day.year == today.year else f"{day.day} {day:%b} {day.year}"


@lru_cache(maxsize=8)
def zone(name: str) -> ZoneInfo:
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError):
        return ZoneInfo("UTC")


def time_words(at: datetime | None, zone_name: str, with_day: bool = True) -> str:
    if at is None:
        return ""
    local = at.astimezone(zone(zone_name))
    return f"{local:%a} {local.day} {local:%b} {local:%H:%M}" if with_day else f"{local:%H:%M}"


def because_words(standing: Standing, zone_name: str) -> str:
    """Why an answer does not count, and since when on the shop's clock: ``U7 fitted after this, Mon 3 Mar 02:14``."""
    since = time_words(standing.since, zone_name)
    return f"{standing.because}, {since}" if since else standing.because


SHORT_STATES = {
    "not applicable": "n/a",
    "out of calibration": "meter due",
    "no instrument": "no meter",
}


def state_words(standing: Standing) -> str:
    """Sign and word, at most eleven cells."""
    return f"{standing.state.sign} {SHORT_STATES.get(standing.state.value, standing.state.value)}"


def card_marks(card: Card) -> str:
    """The states of a unit that somebody has to know before touching it, in words."""
    marks = [f"! {hazard.replace('_', ' ')}" for hazard in card.hazards]
    marks += [f"on hold: {card.held_reason}"] if card.held_reason else []
    marks += [f"✗ {card.failed} failed"] if card.failed else []
    marks += [f"↻ {card.stale} stale"] if card.stale else []
    marks += ["? question"] if card.open_questions else []
    marks += ["nonconformity"] if card.nonconformities else []
    return ", ".join(marks)


def kept_mark(view: UnitView, kind: str, name: str = "") -> str:
    """Before a line about something that is kept at this terminal: ``⇡ kept · ``."""
    return f"{KEPT_SIGN} kept · " if (kind, name) in view.kept_about else ""


def with_kept(said: str, view: UnitView) -> str:
    """What is said of an act, and that it waits here when it does."""
    return f"{said.rstrip('.')}. {AWAY_WORDS}" if view.kept else said


def just_answered(view: UnitView) -> Answered | None:
    """The answer that went in together with the last line, a note; None where the note went in alone."""
    from traveller.record.entries import Answered

    *_, before, last = (None, None, *view.entries)
    together = before is not None and last is not None and before.at == last.at
    return before.body if together and before and isinstance(before.body, Answered) else None


def left_words(units: Sequence[str]) -> str:
    """The units on which somebody has left something half typed, behind another sentence."""
    more = f" and on {len(units) - MOST_LEFT} more" if len(units) > MOST_LEFT else ""
    return f" Typed and not entered yet: on {', '.join(units[:MOST_LEFT])}{more}." if units else ""
