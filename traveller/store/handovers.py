"""Handing over and taking over. Each act is one transaction on the shop's record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from uuid import UUID

from sqlalchemy import Connection

from traveller.record.acts import handover as acts
from traveller.record.acts.deeds.shop import AskingAboutItem, ReplyingAboutItem
from traveller.record.acts.handover import Wording, turn_to_hand_over
from traveller.record.brief import shop_sources
from traveller.record.brief.brief import Glance
from traveller.record.brief.naming import with_rigs_named
from traveller.record.brief.proposing import Candidate, propose
from traveller.record.entries import Body
from traveller.record.handover import Handed, Handover
from traveller.record.notices import concerns
from traveller.record.shifts import Turn
from traveller.record.shop import Person, Shop
from traveller.store import glances
from traveller.store.desk import Desk
from traveller.store.keeping import Keeping
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
    def __init__(self, desk: Desk, keeping: Keeping) -> None:
        self._desk = desk
        self._keeping = keeping

    def proposal(self, by: str, station: str = "") -> Proposal:
        """The items for the end of the shift of this person, or for one bench."""

        def look(connection: Connection) -> tuple[Shop, list[Glance]]:
            return self._desk.shop(connection), glances.in_work(connection, station)

        return self._proposal(*self._desk.look(f"to hand over {station}", look), by, station)

    def _proposal(self, shop: Shop, units: list[Glance], by: str, station: str) -> Proposal:
        turn = turn_to_hand_over(shop, by, self._desk.clock())
        coming = shop.roster.after(turn, shop.zone)
        of_shop = shop_sources.matters_of(shop, turn)
        named = with_rigs_named(units, shop)
        return Proposal(turn, coming, tuple(propose(named, of_shop, shop.handovers, turn, coming, station)))

    def prepare(self, by: str, wording: Wording) -> Handover:
        """Sign, with the items as they stand at this very moment. The receiver is a badge or a name."""

        def bodies(connection: Connection, shop: Shop, person: Person) -> Sequence[Body]:
            given = self._proposal(shop, glances.in_work(connection, wording.station), by, wording.station)
            receiver = person_meant(shop, wording.receiver).tag if wording.receiver.strip() else ""
            named = replace(wording, receiver=receiver)
            return acts.prepare(shop, person, given.turn, given.coming, given.items, named)

        after = self._keeping.shared_by_shop(by, bodies, "Signing the handing over")
        return list(after.handovers.given.values())[-1]

    def accept(self, by: str, numbers: Sequence[int], talked: bool = False, remark: str = "") -> Shop:
        now = self._desk.clock()
        return self._keeping.shared_by_shop(
            by, lambda _, s, who: acts.accept(s, who, numbers, now, talked, remark), "Accepting an item"
        )

    def ask(self, by: str, number: int, text: str) -> Shop:
        return self._keeping.do_for_shop(by, AskingAboutItem(number=number, text=text))

    def reply(self, by: str, number: int, text: str) -> Shop:
        return self._keeping.do_for_shop(by, ReplyingAboutItem(number=number, text=text))

    def waiting(self, reader: str = "") -> Waiting:
        """What nobody has accepted."""
        return waiting(self._keeping.shop(), reader)


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
