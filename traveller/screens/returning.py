"""A unit that came back: its earlier travellers as choices, the same fault or another, and why."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, cast, get_args

from traveller.record.return_entries import FaultAgain
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values

if TYPE_CHECKING:
    from traveller.record.view import UnitView
    from traveller.screens.unit import UnitPage
    from traveller.store.cards import Card


def link_earlier(page: UnitPage, _view: UnitView) -> None:
    """Look up the earlier travellers, then ask."""
    page.terminal.errand(partial(page.workshop.returns.earlier, page.tag), partial(_ask, page))


def _ask(page: UnitPage, found: list[Card]) -> None:
    if not found:
        page.tell("No released traveller has this serial number and maker: compare the nameplates.", refused=True)
        return
    choices = {f"{card.tag} of {card.released_at:%Y-%m-%d}: {card.fault[:50]}": card.tag for card in found}
    lines = [
        Line("earlier", "earlier", value=next(iter(choices)), options=tuple(choices)),
        Line("fault", "the fault", "the same cause, not the same words", options=get_args(FaultAgain)),
        Line("reason", "what shows it"),
    ]

    def act(values: Values) -> UnitView:
        fault = cast("FaultAgain", values["fault"])
        earlier = choices[values["earlier"]]
        return page.workshop.returns.link(page.tag, earlier, page.terminal.by, fault, values["reason"])

    def done(view: UnitView) -> None:
        page.acted(view, f"came back {view.unit.returned.in_words()}" if view.unit.returned else "linked")

    page.app.push_screen(SheetOfFields("Here before", lines, act, done))
