"""Handing over and taking over. Each act is one transaction on the shop's record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from sqlalchemy import Connection

from traveller.record.acts import handover as acts
from traveller.record.acts.handover import Wording, turn_to_hand_over
from traveller.record.brief import shop_sources
from traveller.record.brief.proposing import Candidate, propose
from traveller.record.entries import Body
from traveller.record.handover import Handed, Handover
from traveller.record.notices import concerns
from traveller.record.shifts import Turn
from traveller.record.shop import Person, Shop
from traveller.store import glances
from traveller.store.desk import Desk
from traveller.store.engine import reading
from traveller.store.signing_on import person_meant


@dataclass(frozen=True)
class Proposal:
    """What would be handed over at this moment: from which shift to which, and the items."""

    turn: Turn
    coming: Turn
    items: tuple[Candidate, ...]


@dataclass(frozen=True)
class Waiting:
    """The items that nobody accepted; `mine` are those that wait for the reader or the reader's crew."""

    mine: tuple[Handed, ...]
    all: tuple[Handed, ...]
    given: dict[UUID, Handover]


class Handovers:
    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def proposal(self, by: str, station: str = "") -> Proposal:
        """The items for the end of the shift of this person, or for one bench."""
        with reading(self._desk.engine) as connection:
            return self._proposal(connection, self._desk.shop(connection), by, station)

    def _proposal(self, connection: Connection, shop: Shop, by: str, station: str) -> Proposal:
        turn = turn_to_hand_over(shop, by, self._desk.clock())
        coming = shop.roster.after(turn, shop.zone)
        units, of_shop = glances.in_work(connection, station), shop_sources.matters_of(shop, turn)
        return Proposal(turn, coming, tuple(propose(units, of_shop, shop.handovers, turn, coming, station)))

    def prepare(self, by: str, wording: Wording) -> Handover:
        """Sign, with the items as they stand at this very moment. The receiver is a badge or a name."""

        def bodies(connection: Connection, shop: Shop, person: Person) -> Sequence[Body]:
            given = self._proposal(connection, shop, by, wording.station)
            receiver = person_meant(shop, wording.receiver).tag if wording.receiver.strip() else ""
            named = replace(wording, receiver=receiver)
            return acts.prepare(shop, person, given.turn, given.coming, given.items, named)

        after = self._desk.act_for_shop(by, bodies)
        return list(after.handovers.given.values())[-1]

    def accept(self, by: str, numbers: Sequence[int], talked: bool = False, remark: str = "") -> Shop:
        now = self._desk.clock()
        return self._desk.act_for_shop(by, lambda _, s, who: acts.accept(s, who, numbers, now, talked, remark))

    def ask(self, by: str, number: int, text: str) -> Shop:
        now = self._desk.clock()
        return self._desk.act_for_shop(by, lambda _, s, who: acts.ask(s, who, number, text, now))

    def reply(self, by: str, number: int, text: str) -> Shop:
        now = self._desk.clock()
        return self._desk.act_for_shop(by, lambda _, s, who: acts.reply(s, who, number, text, now))

    def waiting(self, reader: str = "") -> Waiting:
        """What nobody has accepted."""
        with reading(self._desk.engine) as connection:
            shop = self._desk.shop(connection)
        return waiting(shop, reader)


def waiting(shop: Shop, reader: str) -> Waiting:
    """For the reader is what was handed to them, to their crew, or to nobody by name; not what they gave."""
    crew, given = shop.crew_of(reader), shop.handovers.given
    everything = tuple(shop.handovers.open_items())
    mine = tuple(
        one
        for one in everything
        if given[one.handover].by != reader and (not crew or concerns(_to(given[one.handover]), reader, crew))
    )
    return Waiting(mine, everything, given)


def _to(handover: Handover) -> tuple[str, ...]:
    names = (*handover.body.to_crew.split(" and "), handover.body.receiver)
    return tuple(name for name in names if name)
