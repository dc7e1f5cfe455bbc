"""Giving and taking over, by the published guidance.

Both sides are named and the incoming one confirms (Health and Safety Executive, shift handover,
https://www.hse.gov.uk/humanfactors/topics/shift-handover.htm); signatures, station, date and time of use
(DOE-STD-1038-93, section 4.1.2). That nobody confirms their own handover follows from both.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.record.any_shop_entries import any_shops, entered
from tests.record.shop_floor import ANNA, BEN, IDA, LEA, MORNING, PEOPLE
from traveller.errors import Overtaken, Refused
from traveller.record.acts import handover as acts
from traveller.record.acts.handover import Wording, turn_to_hand_over
from traveller.record.brief.brief import Glance
from traveller.record.brief.matter import Matter, Section
from traveller.record.brief.proposing import Candidate, propose
from traveller.record.entries import Entry
from traveller.record.handover import KEPT
from traveller.record.handover_entries import HandoverPrepared, Item, ItemAccepted, Risk
from traveller.record.shop import Shop, fold_shop
from traveller.record.shop_entries import PersonEnrolled
from traveller.vocabulary import Role

LIVE = Candidate("U1/dangerous now/hot", "U000001X", Risk.LIVE, "D1: HOT: heat sink")
OPEN = Candidate("U1/work", "U000001X", Risk.ACROSS, "D1: 3 of 4 fitted")
LEO = "P-LEO"


class TwoShifts:
    """The record of a shop with a second lead, written act by act."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        for tag, person in PEOPLE.items():
            entered(self.entries, PersonEnrolled(tag=tag, name=person.name, roles=person.roles), LEA)
        entered(self.entries, PersonEnrolled(tag=LEO, name="Leo", roles=(Role.LEAD,)), LEA)

    @property
    def shop(self) -> Shop:
        return fold_shop(self.entries)

    def gives(self, by: str, items: Sequence[Candidate] = (OPEN,), wording: Wording | None = None) -> HandoverPrepared:
        shop, wording = self.shop, wording or Wording()
        turn = shop.turn(MORNING + timedelta(hours=1))
        coming = shop.roster.after(turn, shop.zone)
        (body,) = acts.prepare(shop, shop.people[by], turn, coming, items, wording)
        assert isinstance(body, HandoverPrepared)
        entered(self.entries, body, by)
        return body

    def takes(self, by: str, *numbers: int, remark: str = "") -> None:
        for body in acts.accept(self.shop, self.shop.people[by], numbers, MORNING, remark=remark):
            entered(self.entries, body, by)

    def asks(self, by: str, number: int) -> None:
        (body,) = acts.ask(self.shop, self.shop.people[by], number, "which?", MORNING)
        entered(self.entries, body, by)

    def replies(self, by: str, number: int) -> None:
        (body,) = acts.reply(self.shop, self.shop.people[by], number, "that one", MORNING)
        entered(self.entries, body, by)

    def waiting(self) -> list[int]:
        return [one.item.number for one in self.shop.handovers.open_items()]


def test_an_item_is_open_until_somebody_else_accepts_it() -> None:
    two = TwoShifts()
    given_ = two.gives(LEA, [OPEN, LIVE], Wording(receiver=BEN))
    assert [one.risk for one in given_.items] == [Risk.ACROSS, Risk.LIVE]
    assert two.waiting() == [2, 1], "what is live comes first"
    with pytest.raises(Refused, match="yourself"):
        two.takes(LEA, 1)
    two.takes(ANNA, 1)
    assert two.waiting() == [2]
    with pytest.raises(Overtaken, match=r"Item 1 was accepted by Anna"):
        two.takes(BEN, 1)
    two.takes(BEN, 2)
    assert two.waiting() == []
    assert two.shop.handovers.is_confirmed(next(iter(two.shop.handovers.given)))


def test_nothing_live_is_passed_over_to_nobody() -> None:
    two = TwoShifts()
    with pytest.raises(Refused, match=r"Something live cannot be passed over to nobody \(U000001X"):
        two.gives(LEA, [LIVE])
    with pytest.raises(Refused, match="to yourself"):
        two.gives(LEA, [LIVE], Wording(receiver=LEA))
    with pytest.raises(Refused, match="may not clear a hazard"):
        two.gives(LEA, [LIVE], Wording(receiver=IDA))
    two.gives(LEA, [LIVE], Wording(receiver=BEN))
    with pytest.raises(Refused, match="Ben is named for it"):
        two.takes(ANNA, 1)
    with pytest.raises(Refused, match="takes a technician"):
        two.takes(IDA, 1)
    two.takes(LEO, 1)


@pytest.mark.parametrize("risk", [Risk.LIVE, Risk.RUNNING])
def test_what_is_live_or_runs_is_never_left_out(risk: Risk) -> None:
    one = Candidate("key", "U000001X", risk, "something")
    body = TwoShifts().gives(LEA, [one, OPEN], Wording(receiver=BEN, left_out=["key", OPEN.key]))
    assert [item.key for item in body.items] == ["key"]


def test_a_question_holds_the_item_until_it_is_answered_or_settled_in_words() -> None:
    two = TwoShifts()
    two.gives(LEA, [OPEN, OPEN])
    two.asks(BEN, 1)
    with pytest.raises(Refused, match="has a question that waits"):
        two.takes(BEN, 1)
    with pytest.raises(Refused, match="answer your own question"):
        two.replies(BEN, 1)
    two.replies(LEA, 1)
    two.takes(BEN, 1)
    two.asks(BEN, 2)
    two.takes(BEN, 2, remark="rang her, the left one")
    assert two.waiting() == []
    with pytest.raises(Refused, match="Nobody has asked about item 3"):
        two.gives(LEA, [OPEN], Wording(as_well=True))
        two.replies(LEA, 3)


def test_who_accepted_by_a_slip_asks_and_the_item_waits_again() -> None:
    two = TwoShifts()
    two.gives(LEA, [OPEN])
    two.takes(BEN, 1)
    with pytest.raises(Overtaken, match="Item 1 was accepted by Ben"):
        two.asks(ANNA, 1)
    two.asks(BEN, 1)
    assert two.waiting() == [1]
    assert two.shop.handovers.items[1].state == "asked"
    with pytest.raises(Refused, match="has a question that waits"):
        two.takes(ANNA, 1)
    two.replies(LEA, 1)
    two.takes(ANNA, 1)
    assert two.waiting() == []
    with pytest.raises(Overtaken, match="Item 1 was accepted by Anna"):
        two.asks(BEN, 1)


def test_the_second_lead_is_told_and_may_hand_over_as_well() -> None:
    two = TwoShifts()
    two.gives(LEA)
    with pytest.raises(Overtaken, match=r"P-LEA has handed over .* What you wrote is kept"):
        two.gives(LEO)
    two.gives(LEO, wording=Wording(as_well=True, words="the crane too"))
    assert two.waiting() == [1, 2]


def test_what_came_up_since_the_list_was_looked_at_is_told_before_signing() -> None:
    two = TwoShifts()
    with pytest.raises(Overtaken, match=r"Since you looked 1 more came up: U000001X D1: HOT"):
        two.gives(LEA, [OPEN, LIVE], Wording(receiver=BEN, seen=[OPEN.key]))
    assert two.gives(LEA, [OPEN], Wording(seen=[OPEN.key, "gone since"])).items


def test_who_may_hand_over_what() -> None:
    two = TwoShifts()
    with pytest.raises(Refused, match="takes a shift lead"):
        two.gives(ANNA)
    bench = two.gives(ANNA, wording=Wording(station="component_work"))
    assert bench.from_shift == bench.to_shift
    with pytest.raises(Refused, match="nothing to hand over"):
        two.gives(LEA, [])
    assert two.gives(LEA, [], Wording(words="all quiet")).items == ()


def test_an_item_that_nobody_accepted_goes_on_in_the_next_handover() -> None:
    two = TwoShifts()
    two.gives(LEA, [OPEN])
    shop = two.shop
    turn = shop.turn(MORNING)
    (again,) = propose([], [], shop.handovers, turn, shop.roster.after(turn, "UTC"))
    assert (again.key, again.carries, again.may_be_left_out) == (OPEN.key, 1, False)
    two.gives(LEO, [again], Wording(as_well=True))
    assert two.waiting() == [2]
    with pytest.raises(Overtaken, match="handed on with a later handover"):
        two.takes(BEN, 1)


def test_higher_risk_items_are_proposed_first_and_old_work_is_not_proposed_again() -> None:
    """Higher-risk handovers: work carried over, deviation from normal, safety system overridden (from memory: the
    Health and Safety Executive's briefing on the topic); work open across a shift: its page on shift handover."""
    shop = Shop()
    turn = shop.turn(MORNING + timedelta(hours=1))
    before, during = turn.starts - timedelta(hours=1), turn.starts + timedelta(minutes=5)

    def unit(tag: str, *matters: Matter) -> Glance:
        return Glance(tag, "D1", "load_test", "", False, matters)

    units = [
        unit("U3", Matter(Section.BEGUN, "3 of 4", at=during, risk=Risk.ACROSS)),
        unit("U4", Matter(Section.BEGUN, "old", at=before, risk=Risk.ACROSS)),
        unit("U5", Matter(Section.DUE, "tomorrow", day=turn.last_day + timedelta(days=2), risk=Risk.DUE)),
        unit("U2", Matter(Section.BAD, "failed", at=during, risk=Risk.UNUSUAL)),
        unit("U1", Matter(Section.DANGER, "HOT", at=before, risk=Risk.LIVE)),
        unit("U6", Matter(Section.HELD, "no item", at=during)),
    ]
    found = propose(units, [], shop.handovers, turn, shop.roster.after(turn, "UTC"))
    assert [(one.unit, one.risk) for one in found] == [("U1", Risk.LIVE), ("U3", Risk.ACROSS), ("U2", Risk.UNUSUAL)]
    assert [one.unit for one in propose(units, [], shop.handovers, turn, turn, "inspection")] == []


def test_a_shift_can_be_handed_over_shortly_after_its_end() -> None:
    two = TwoShifts()
    start = two.shop.turn(MORNING).starts
    for minutes, shift in ((1, "night"), (44, "night"), (46, "early")):
        assert turn_to_hand_over(two.shop, LEA, start + timedelta(minutes=minutes)).shift == shift


@given(any_shops(), st.sampled_from(sorted(PEOPLE)), st.integers(1, 8))
def test_whatever_happened_an_item_is_accepted_once_and_never_by_its_giver(
    entries: list[Entry], by: str, number: int
) -> None:
    shop = fold_shop(entries)
    try:
        (body,) = acts.accept(shop, shop.people[by], [number], MORNING, remark="settled")
    except Refused:
        return
    assert shop.handovers.given[shop.handovers.items[number].handover].by != by
    entered(entries, body, by)
    with pytest.raises(Refused):
        acts.accept(fold_shop(entries), shop.people[by], [number], MORNING, remark="settled")


def test_old_handovers_that_are_done_are_let_go_and_open_ones_never() -> None:
    two = TwoShifts()
    for number in range(1, KEPT + 12):
        item = Item(number=number, key=str(number), risk=Risk.OTHER, says="something")
        entered(two.entries, HandoverPrepared(from_shift="a", to_shift="b", items=(item,)), LEA)
        if number > 1:
            entered(two.entries, ItemAccepted(item=number), BEN)
    state = two.shop.handovers
    assert two.waiting() == [1]
    assert KEPT <= len(state.given) <= KEPT + 2
    assert state.numbers == KEPT + 11
