"""The desk of the load rigs: who has which, and when. Whether a rig is free is decided by the only writer."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from traveller.record.acts import rig as acts
from traveller.record.entries import Body
from traveller.record.rigs import Booking, on_rig
from traveller.record.shop import Person, Shop
from traveller.store.desk import Desk
from traveller.store.engine import reading
from traveller.store.keeping import Keeping
from traveller.tags import read_tag


class Rigs:
    def __init__(self, desk: Desk, keeping: Keeping) -> None:
        self._desk = desk
        self._keeping = keeping

    def book(self, rig: str, unit: str, begins: datetime, ends: datetime, by: str, note: str = "") -> Shop:
        """Two bookings of one rig never overlap; Refused names who has it."""
        tag, whose = read_tag(rig).text, self._desk.unit_tag(unit)
        with self._keeping.needing("Booking a rig"), reading(self._desk.engine) as connection:
            self._desk.need_traveller(connection, whose)
        now = self._desk.clock()
        return self._enter(
            "Booking a rig", by, lambda shop, person: acts.book(shop, person, tag, whose, begins, ends, now, note)
        )

    def free(self, rig: str, unit: str, by: str, why: str = "") -> Shop:
        tag, whose = read_tag(rig).text, self._desk.unit_tag(unit)
        now = self._desk.clock()
        return self._enter("Freeing a rig", by, lambda shop, person: acts.free(shop, person, tag, whose, now, why))

    def out_of_use(self, rig: str, by: str, why: str) -> Shop:
        """Take a rig out of use; with an empty `why` it is fit again."""
        tag = read_tag(rig).text
        return self._enter("The state of a rig", by, lambda shop, person: acts.set_state(shop, person, tag, why))

    def booked(self) -> dict[str, list[Booking]]:
        """By rig, what is going on or still to come, in order of time."""
        shop = self._keeping.shop()
        return {tag: on_rig(shop.bookings, tag, self._desk.clock()) for tag in shop.rigs}

    def _enter(self, what: str, by: str, decide: Callable[[Shop, Person], Sequence[Body]]) -> Shop:
        return self._keeping.shared_by_shop(by, lambda _, shop, person: decide(shop, person), what)
