"""The sheet for sending a unit back. It says what will have to be proved again before it is entered."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values

if TYPE_CHECKING:
    from traveller.record.view import UnitView


def send_back(
    page: Page[Any], view: UnitView, done: Callable[[UnitView], None], found: str = "", check: str = ""
) -> None:
    """`found` stands in the line already; `check` is the one that found it, if it failed."""
    earlier = _earlier(view)
    keys = {sheet.name: sheet.key for sheet in view.book.sheets}
    lines = [Line("station", "back to", options=earlier), Line("found", "what was found", value=found)]

    def act(values: Values) -> UnitView:
        station = keys[values["station"]]
        return page.workshop.send_back(view.unit.tag, station, page.terminal.by, values["found"], check)

    caution = f"Goes stale when sent back to {_voided(view, [keys[name] for name in earlier])}"
    page.app.push_screen(SheetOfFields("Send back", lines, act, done, caution=caution))


def _earlier(view: UnitView) -> tuple[str, ...]:
    here = view.sheet.order if view.sheet else 0
    return tuple(sheet.name for sheet in view.book.sheets if sheet.order < here)


def _voided(view: UnitView, stations: Sequence[str]) -> str:
    """For each station that the unit may be sent back to: what goes stale at once, and what by work there."""
    from traveller.record.redoing import names, voided_by_sending_back

    told = []
    for station in stations:
        at_once, with_work = voided_by_sending_back(view, station)
        listed = f" ({names(view, at_once, 3)})" if at_once else ""
        more = f", with a part fitted {len(with_work)} more" if with_work else ""
        sheet = view.book.sheet(station)
        told.append(f"{sheet.name if sheet else station}: {len(at_once) or 'nothing'}{listed}{more}")
    return ". ".join(told) + "."
