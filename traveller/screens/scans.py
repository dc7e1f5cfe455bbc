"""What a scan does: it opens or selects, on every screen. It never confirms anything by itself."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from traveller.errors import InputError
from traveller.screens.page import Page
from traveller.screens.words import ONE_MOMENT

if TYPE_CHECKING:
    from traveller.record.shop import Shop
    from traveller.record.view import UnitView
    from traveller.screens.app import TravellerApp
    from traveller.store.workshop import Thing, Workshop


class Scans:
    """Takes what was scanned at one terminal to where it belongs."""

    def __init__(self, terminal: TravellerApp) -> None:
        self._terminal = terminal
        self._awaiting = ""

    def waiting_unit(self) -> str:
        """The unit that was scanned before anybody had signed on; it waits once."""
        tag, self._awaiting = self._awaiting, ""
        return tag

    def scanned(self, text: str) -> None:
        """A scan opens or selects. It never confirms anything by itself."""
        if not self._terminal.is_open:
            self._terminal.refuse(InputError("The workshop is still being opened: scan again in a moment."))
            return
        badge = self._terminal.roll.badge(text) if self._terminal.roll else None
        words = f"{badge.name}: the bench opens in a moment." if badge else ONE_MOMENT
        self._terminal.when_ready(partial(self._look_up, text), words)

    def _look_up(self, text: str) -> None:
        self._terminal.errand(partial(_looked_up, self._terminal.workshop, text), self._known)

    def _known(self, found: tuple[Thing, UnitView | None]) -> None:
        thing, view = found
        match str(thing.kind):
            case "person":
                self._terminal.errand(partial(self._terminal.workshop.sign_on, thing.tag), self._terminal.sign_on)
            case "unit":
                self._unit(thing.tag, view)
            case "instrument":
                self._instrument(thing.tag)
            case _:
                self._place(thing)

    def _unit(self, tag: str, view: UnitView | None) -> None:
        from traveller.screens.choice import Choice
        from traveller.screens.sheet_of_fields import SheetOfFields
        from traveller.screens.unit import UnitPage

        if isinstance(self._terminal.screen, Choice):
            self._terminal.screen.dismiss(None)
        if self._terminal.person is None:
            self._awaiting = tag
            self._terminal.tell(f"{tag} is ready: scan your badge, and it opens.")
        elif isinstance(self._terminal.screen, SheetOfFields):
            if not self._terminal.screen.takes_scan(tag):
                self._terminal.ring()
                self._terminal.screen.complain("Finish this sheet or leave it with Esc; then scan the unit again.")
        elif isinstance(self._terminal.screen, UnitPage) and self._terminal.screen.takes_scan(tag):
            return
        else:
            self._terminal.open_unit(tag, first=view)

    def _instrument(self, tag: str) -> None:
        def taken(shop: Shop) -> None:
            self._terminal.shop = shop
            instrument = shop.instruments[tag]
            self._terminal.in_hand = {**self._terminal.in_hand, instrument.instrument_class: instrument}
            late = instrument.calibration_due < self._terminal.workshop.today()
            state = f"OUT OF CALIBRATION since {instrument.calibration_due}: readings will not count"
            words = state if late else f"calibrated to {instrument.calibration_due}"
            self._terminal.tell(f"{instrument.instrument_class} in hand: {instrument.name}, {words}", refused=late)
            if late:
                self._terminal.ring()
            if isinstance(self._terminal.screen, Page):
                self._terminal.screen.refresh_page()

        self._terminal.errand(self._terminal.workshop.shop, taken)

    def _place(self, thing: Thing) -> None:
        tag = getattr(self._terminal.screen, "tag", "")
        if not tag:
            self._terminal.refuse(InputError(f"{thing.name}: open a unit first, then scan where you put it."))
            return

        def placed(_view: object) -> None:
            if isinstance(self._terminal.screen, Page):
                self._terminal.screen.refresh_page()
            self._terminal.tell(f"{tag} is put on {thing.name}.")

        self._terminal.errand(partial(self._terminal.workshop.place, tag, thing.tag, self._terminal.by), placed)


def _looked_up(workshop: Workshop, text: str) -> tuple[Thing, UnitView | None]:
    """What was scanned; of a unit all that its page shows, so that the page need not ask again before it paints."""
    thing = workshop.thing(text)
    return thing, workshop.unit(thing.tag) if str(thing.kind) == "unit" else None
