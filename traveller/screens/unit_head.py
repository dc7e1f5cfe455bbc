"""The head of the unit page: what it is, what is next, where it stands on its route, what must be known."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from rich.text import Text

from traveller.counting import many
from traveller.screens.words import day_words, hazard_lines, laid_out

if TYPE_CHECKING:
    from traveller.record.view import UnitView


def identity(view: UnitView, today: date, shown: str) -> Text:
    """Three lines: what it is; when it is promised and for whom, the fault as reported; what is next, and where, if
    that is not the station `shown`."""
    unit, plate = view.unit, view.unit.nameplate
    if plate is None:
        return Text(unit.tag, style="bold")
    what = f"{unit.tag}  {plate.unit_kind.label} {plate.maker} {plate.model}  serial {plate.serial}"
    head = Text(what, style="bold", overflow="ellipsis", no_wrap=True)
    notes = f" · {many(len(unit.notes), 'note')}, F9" if unit.notes else ""
    fault = f" · “{' '.join(plate.fault.split())}”" if plate.fault else ""
    head.append(f"\npromised {day_words(plate.promised, today)} for {plate.customer}{notes}{fault}", style="not bold")
    head.append(f"\nnext{_elsewhere(view, shown)} ", style="not bold dim")
    head.append(view.next_step())
    return head


def _elsewhere(view: UnitView, shown: str) -> str:
    """Where the next step is and how to get there, while another station is looked at."""
    here, there = view.book.sheet(shown), view.sheet
    if here is None or there is None or here.key == there.key or view.unit.release:
        return ""
    return f" at {there.name} ({'Page Down' if here.order < there.order else 'Page Up'}):"


def alerts(view: UnitView, today: date) -> list[str]:
    """What must be known before anybody touches the unit; a released one is only that."""
    from traveller.record.redoing import names, to_redo

    unit = view.unit
    if unit.release:
        return ["released: this traveller is sealed"]
    lines = hazard_lines(view)
    if unit.hold:
        lines.append(f"on hold: {unit.hold.reason}, look again {day_words(unit.hold.look_again, today)}")
    lines += [f"? open question: {one.text}" for one in unit.open_questions()[:1]]
    if unit.outcome != "repair":
        lines.append(f"decided: {unit.outcome}")
    if again := to_redo(view):
        lines.append(f"↻ do again ({len(again)}): {names(view, again)}")
    return lines


def route(view: UnitView, shown: str, width: int) -> Text:
    """The stations in order with how far each is; ▸ is where the unit stands, reversed the one shown."""
    stations = []
    for sheet in view.book.sheets:
        needed = [one for one in view.standings(sheet.key) if one.check.required or one.evidence]
        done = sum(one.state.counts for one in needed)
        stale = any(one.state.value == "stale" for one in needed)
        mark = "✓" if needed and done == len(needed) else "↻" if stale else f"{done}/{len(needed)}"
        here = sheet.key == view.unit.station and not view.unit.release
        style = "bold reverse" if sheet.key == shown else "bold" if here else ""
        stations.append(Text(f"{'▸' if here else ''}{sheet.name} {mark}", style=style))
    return laid_out(stations, Text(" → ", style="dim"), width)
