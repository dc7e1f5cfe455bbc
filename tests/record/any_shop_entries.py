"""Any sequence of entries on the record of a shop: handovers, acceptances, notes, questions, in any order."""

from __future__ import annotations

from datetime import date, time, timedelta
from uuid import UUID

from hypothesis import strategies as st
from uuid6 import uuid7

from tests.record.shop_floor import ANNA, BEN, IDA, LEA, MORNING, PEOPLE
from traveller.record.entries import Body, Entry
from traveller.record.handover_entries import (
    HandoverPrepared,
    Item,
    ItemAccepted,
    ItemAsked,
    ItemReplied,
    NoteSeen,
    Risk,
    ShopAsked,
    ShopNoted,
    ShopNoteEnded,
    ShopReplied,
)
from traveller.record.shift_entries import CrewSet, CrewTurns, PatternSet, ShiftTimes
from traveller.record.shop_entries import SHOP, PersonEnrolled

NOBODY = UUID(int=0)
people = st.sampled_from([ANNA, BEN, IDA, LEA])
numbers = st.integers(1, 8)
PLAIN: st.SearchStrategy[Body] = st.one_of(
    st.builds(ItemAccepted, item=numbers),
    st.builds(ItemAsked, item=numbers, text=st.just("which?")),
    st.builds(ItemReplied, item=numbers, text=st.just("that one")),
    st.builds(ShopNoted, text=st.just("crane"), for_whom=st.sampled_from([(), ("A",), (ANNA,)])),
    st.builds(NoteSeen, note=st.just(NOBODY)),
    st.builds(ShopNoteEnded, note=st.just(NOBODY), why=st.just("mended")),
    st.builds(ShopAsked, text=st.just("who has the key?")),
    st.builds(ShopReplied, question=st.just(NOBODY), text=st.just("Ben")),
    st.builds(CrewSet, person=people, crew=st.sampled_from(["", "A", "B"])),
    st.builds(
        PatternSet,
        zone=st.sampled_from(["UTC", "Europe/Berlin"]),
        shifts=st.just((ShiftTimes(name="day", starts=time(6)), ShiftTimes(name="night", starts=time(18)))),
        crews=st.just((CrewTurns(crew="A", days=("day", "night")),)),
        anchor=st.just(date(2031, 3, 3)),
        valid_from=st.integers(-3, 30).map(lambda hours: MORNING + timedelta(hours=hours)),
    ),
)


def entered(entries: list[Entry], body: Body, by: str) -> Entry:
    """The next entry of the shop, an hour later."""
    at = MORNING + timedelta(hours=len(entries))
    entry = Entry(id=uuid7(), subject=SHOP, sequence=len(entries) + 1, at=at, by=by, terminal="T-1", body=body)
    entries.append(entry)
    return entry


def _handover(draw: st.DrawFn, number: int) -> HandoverPrepared:
    """Items are numbered through the shop, as the act numbers them."""
    items = tuple(
        Item(
            number=number + place,
            key=f"key {number + place}",
            risk=draw(st.sampled_from(Risk)),
            says="something",
            carries=draw(st.integers(0, number)),
        )
        for place in range(draw(st.integers(0, 3)))
    )
    return HandoverPrepared(from_shift="early", to_shift="late", items=items)


@st.composite
def any_shops(draw: st.DrawFn) -> list[Entry]:
    entries: list[Entry] = []
    for tag, person in PEOPLE.items():
        entered(entries, PersonEnrolled(tag=tag, name=person.name, roles=person.roles), LEA)
    number = 1
    for _ in range(draw(st.integers(0, 14))):
        if draw(st.integers(0, 2)) == 0:
            handover = _handover(draw, number)
            number += len(handover.items)
            body: Body = handover
        else:
            body = draw(PLAIN)
        known = [entry.id for entry in entries]
        named = {name: draw(st.sampled_from(known)) for name, value in body if value == NOBODY}
        entered(entries, body.model_copy(update=named), draw(people))
    return entries
