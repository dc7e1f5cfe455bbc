"""What is proposed at the end of a shift can be read, and nothing drops out of it: said a second time, of the matters.

Work open across a shift is flagged (Health and Safety Executive, shift handover,
https://www.hse.gov.uk/humanfactors/topics/shift-handover.htm); that it is one item a station is the shop's own choice.
"""

from __future__ import annotations

from datetime import timedelta

from hypothesis import given
from hypothesis import strategies as st
from uuid6 import uuid7

from tests.record.shop_floor import BEN, LEA, MORNING
from traveller.record.brief.brief import Glance
from traveller.record.brief.matter import PART_WAY, Matter, Section
from traveller.record.brief.proposing import Candidate, propose
from traveller.record.entries import Entry
from traveller.record.handover import Handovers, with_entry
from traveller.record.handover_entries import HandoverPrepared, Item, ItemAccepted, Risk
from traveller.record.shop import Shop
from traveller.record.shop_entries import SHOP

TURN = Shop().turn(MORNING + timedelta(hours=1))
COMING = Shop().roster.after(TURN, "UTC")
DURING, BEFORE = TURN.starts + timedelta(minutes=5), TURN.starts - timedelta(hours=1)
STATIONS = ("goods_in", "component_work")

begun = st.builds(
    Matter,
    st.just(Section.BEGUN),
    st.sampled_from(["3 of 4 fitted", "next: fans"]),
    at=st.sampled_from([BEFORE, DURING]),
    refers=st.sampled_from(["", PART_WAY]),
    risk=st.just(Risk.ACROSS),
)
others = st.one_of(
    st.builds(Matter, st.just(Section.DANGER), st.just("HOT"), refers=st.just("hot"), risk=st.just(Risk.LIVE)),
    st.builds(Matter, st.just(Section.RUNNING), st.just("heat run"), refers=st.just("run"), risk=st.just(Risk.RUNNING)),
    st.builds(Matter, st.just(Section.QUESTION), st.just("which?"), refers=st.just("q"), risk=st.just(Risk.OTHER)),
    st.builds(
        Matter,
        st.just(Section.BAD),
        st.just("failed"),
        at=st.sampled_from([BEFORE, DURING]),
        risk=st.just(Risk.UNUSUAL),
    ),
)


@st.composite
def floors(draw: st.DrawFn) -> list[Glance]:
    return [
        Glance(f"U{number}", "D1", draw(st.sampled_from(STATIONS)), "", draw(st.integers(0, 5)) == 0, tuple(matters))
        for number, matters in enumerate(draw(st.lists(st.lists(st.one_of(begun, others), max_size=3), max_size=6)))
    ]


def offered(floor: list[Glance], handovers: Handovers | None = None, station: str = "") -> list[Candidate]:
    return propose(floor, [], handovers or Handovers(), TURN, COMING, station)


def given_over(items: list[Candidate], before: Handovers | None = None) -> Handovers:
    state = before or Handovers()
    made = tuple(
        Item(
            number=state.numbers + n,
            key=one.key,
            unit=one.unit,
            risk=one.risk,
            says=one.says,
            carries=one.carries,
            pieces=one.pieces,
        )
        for n, one in enumerate(items, 1)
    )
    body = HandoverPrepared(from_shift="early", to_shift="late", items=made)
    return with_entry(state, entry_of(body, LEA), body)


def entry_of(body: HandoverPrepared | ItemAccepted, by: str) -> Entry:
    return Entry(id=uuid7(), subject=SHOP, sequence=1, at=MORNING, by=by, terminal="T-1", body=body)


def told(items: list[Candidate], unit: str) -> str:
    """All that the items say of a unit."""
    own = [one.says for one in items if one.unit == unit]
    return "; ".join([*own, *(piece.says for one in items for piece in one.pieces if piece.unit == unit)])


@given(floors(), st.sampled_from(["", *STATIONS]))
def test_nothing_of_this_shift_drops_out_of_what_is_proposed(floor: list[Glance], station: str) -> None:
    items = offered(floor, station=station)
    for glance in floor:
        here = not glance.released and station in ("", glance.station)
        says = told(items, glance.tag)
        for matter in glance.matters:
            touched = matter.section not in (Section.BEGUN, Section.BAD) or matter.at == DURING
            assert (not here) or (not touched) or matter.says in says
        assert here or not says


@given(floors())
def test_work_that_was_only_begun_is_one_item_a_station(floor: list[Glance]) -> None:
    items = offered(floor)
    grouped = [one for one in items if one.pieces]
    assert len(grouped) <= len(STATIONS)
    assert len({one.key for one in items}) == len(items)
    for one in grouped:
        assert all(piece.unit in one.says for piece in one.pieces) or len(one.pieces) == 1
    for one in items:
        if one.risk in (Risk.LIVE, Risk.RUNNING, Risk.UNUSUAL, Risk.OTHER):
            assert one.unit and not one.pieces


@given(floors(), floors())
def test_no_unit_drops_out_of_an_item_that_nobody_accepted(first: list[Glance], then: list[Glance]) -> None:
    handovers = given_over(offered(first))
    again = given_over(offered(then, handovers), handovers)
    waiting = [one.item for one in again.open_items()]
    before = {unit for one in handovers.items.values() for unit in one.item.units}
    assert before <= {unit for one in waiting for unit in one.units}
    for old in handovers.items.values():
        for piece in old.item.pieces:
            assert any(piece.unit == new.unit for one in waiting if one.key == old.item.key for new in one.pieces)


def test_an_item_of_a_station_reads_what_is_part_way_first() -> None:
    def unit(tag: str, refers: str) -> Glance:
        work = Matter(Section.BEGUN, "3 of 4 fitted", at=DURING, refers=refers, risk=Risk.ACROSS)
        return Glance(tag, "D1", "component_work", "", False, (work,))

    (one,) = offered([unit("U1", ""), unit("U2", PART_WAY), unit("U3", "")])
    assert one.says == "component work: 3 units begun, 1 part-way: U2; the others: U1, U3"
    assert [piece.unit for piece in one.pieces] == ["U2", "U1", "U3"]
    (alone,) = offered([unit("U1", PART_WAY)])
    assert (alone.unit, alone.says) == ("U1", "D1: 3 of 4 fitted")
    assert one.key == alone.key, "the same item when another unit comes to it"
    assert one.marks != alone.marks, "but somebody who saw the one has not seen the others"


def test_when_it_was_accepted_only_what_is_new_is_proposed() -> None:
    work = (Matter(Section.BEGUN, "3 of 4 fitted", at=DURING, risk=Risk.ACROSS),)
    old, new = (Glance(tag, "D1", "goods_in", "", False, work) for tag in ("U1", "U2"))
    handovers = given_over(offered([old]))
    (both,) = offered([new], handovers)
    assert [piece.unit for piece in both.pieces] == ["U1", "U2"]
    body = ItemAccepted(item=1)
    (only,) = offered([new], with_entry(handovers, entry_of(body, BEN), body))
    assert only.unit == "U2" and not only.carries
