"""The pattern of shifts and the crews of the shop, and what a lead is warned of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial

from traveller.record.acts import shifts as acts
from traveller.record.rest import Warned, warnings
from traveller.record.shift_entries import CrewTurns, ShiftTimes
from traveller.record.shifts import Turn
from traveller.record.shop import Shop
from traveller.store import shop_clock
from traveller.store.desk import Desk
from traveller.store.keeping import Keeping

A_DAY = timedelta(days=1)


@dataclass(frozen=True)
class Watch:
    """The shift that is on, the one before and the next, and what is odd with this terminal's clock."""

    now: Turn
    before: Turn
    after: Turn
    complaint: str


class Shifts:
    def __init__(self, desk: Desk, keeping: Keeping) -> None:
        self._desk = desk
        self._keeping = keeping

    def watch(self) -> Watch:
        now, shop = self._desk.clock(), self._keeping.shop()
        complaint = self._desk.look("clock", lambda connection: shop_clock.complaint(connection, now))
        turn = shop.turn(now)
        roster, zone = shop.roster, shop.zone
        return Watch(turn, roster.before(turn, zone), roster.after(turn, zone), complaint)

    def coming(self, number: int) -> list[Turn]:
        """The shift that is on and the ones after it, so many in all."""
        shop, turns = self._keeping.shop(), []
        turn = shop.turn(self._desk.clock())
        for _ in range(number):
            turns.append(turn)
            turn = shop.roster.after(turn, shop.zone)
        return turns

    def set_pattern(
        self,
        by: str,
        shifts: Sequence[ShiftTimes],
        crews: Sequence[CrewTurns],
        anchor: date,
        zone: str = "",
        overlap_minutes: int = 0,
        reason: str = "",
    ) -> Shop:
        """Valid from the end of the shift that is on."""
        now = self._desk.clock()
        return self._keeping.shared_by_shop(
            by,
            lambda _, shop, person: acts.set_pattern(
                shop, person, now, shifts, crews, anchor, zone, overlap_minutes, reason
            ),
            "The pattern of shifts",
        )

    def set_crew(self, person: str, crew: str, by: str) -> Shop:
        return self._keeping.shared_by_shop(
            by, lambda _, shop, lead: acts.set_crew(shop, lead, person, crew), "Who is in which crew"
        )

    def warnings(self) -> list[Warned]:
        """Short rests and long weeks to come: of each crew, and of everybody who has just changed crews."""
        shop, now = self._keeping.shop(), self._desk.clock()
        found: list[Warned] = []
        for crew in acts.crews_of(shop):
            found += warnings(f"crew {crew}", shop.roster, shop.zone, now, partial(_always, crew))
        lately = now - A_DAY
        for person in shop.present():
            if any(at >= lately for at, _ in shop.crews.get(person.tag, ())[1:]):
                found += warnings(person.name, shop.roster, shop.zone, lately, partial(shop.crew_of, person.tag))
        return found


def _always(crew: str, _at: datetime) -> str:
    return crew
