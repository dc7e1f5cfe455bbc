"""Units that came back, beside their earlier travellers."""

from __future__ import annotations

from collections.abc import Sequence

from traveller.errors import InputError
from traveller.record.acts import returns
from traveller.record.acts.rights import Proposed
from traveller.record.return_entries import FaultAgain
from traveller.record.view import UnitView
from traveller.store import cards
from traveller.store.cards import Card
from traveller.store.desk import Desk, Scene
from traveller.store.engine import reading
from traveller.store.keeping import Keeping


class Returns:
    """What a workshop does with a unit that was here before."""

    def __init__(self, desk: Desk, keeping: Keeping) -> None:
        self._desk = desk
        self._keeping = keeping

    def earlier(self, tag: str) -> list[Card]:
        """The released travellers of the same serial number and maker, the latest first."""
        unit = self._desk.unit_tag(tag)
        with reading(self._desk.engine) as connection:
            plate = self._desk.view(connection, unit).unit.nameplate
            found = cards.by_serial(connection, plate.serial, plate.maker) if plate else []
        return [card for card in found if card.released_at and card.tag != unit]

    def latest(self, tag: str) -> str:
        """The tag of the latest of them; InputError when the serial number was never here."""
        found = self.earlier(tag)
        if not found:
            raise InputError(f"No released traveller has the serial number of {tag}: was it mistyped at one of them?")
        return found[0].tag

    def link(self, tag: str, earlier: str, by: str, fault: FaultAgain, reason: str) -> UnitView:
        """Link a unit to its earlier traveller and decide the warranty."""
        before = self._desk.unit_tag(earlier)

        def decide(scene: Scene) -> Sequence[Proposed]:
            old = self._desk.view(scene.connection, before)
            return returns.returned(scene.view, scene.person, old, fault, reason, scene.shop, scene.today)

        return self._keeping.shared(tag, by, decide, "Linking it to its earlier traveller")
