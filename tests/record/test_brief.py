"""Nothing drops out of the brief without an entry that ends it: said a second time here, of the entries themselves.

The headings follow the Health and Safety Executive's page on shift handover (content from what incoming staff need),
https://www.hse.gov.uk/humanfactors/topics/shift-handover.htm
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.record.any_entries import any_travellers, travellers_that_went_on
from tests.record.any_shop_entries import any_shops, entered
from tests.record.shop_floor import ANNA, BEN, LEA, MORNING, TAG, Traveller, booked_in
from traveller.record.brief import shop_sources, unit_sources
from traveller.record.brief.brief import Brief, Glance, Reader, Wanted, make_brief
from traveller.record.brief.matter import Section, as_text, from_text
from traveller.record.entries import (
    Answered,
    Asked,
    Body,
    Entry,
    HazardCleared,
    HazardRaised,
    Held,
    NonconformityClosed,
    NonconformityRaised,
    Noted,
    Placed,
    Replied,
    Resumed,
    SentBack,
)
from traveller.record.handover_entries import (
    HandoverPrepared,
    ItemAccepted,
    ItemAsked,
    NoteSeen,
    ShopAsked,
    ShopNoted,
    ShopNoteEnded,
    ShopReplied,
)
from traveller.record.notices import concerns, read_whom
from traveller.record.shop import Shop, fold_shop
from traveller.vocabulary import HazardKind

travellers = st.one_of(any_travellers(), travellers_that_went_on()).filter(lambda one: not one.view.unit.release)
"""Units that have not left: the signature ends everything, and nothing can be entered behind it."""
NEVER = MORNING - timedelta(days=999)


def glance_of(traveller: Traveller) -> Glance:
    unit = traveller.view.unit
    matters = from_text(as_text(unit_sources.matters_of(traveller.view)))
    return Glance(TAG, "D1", unit.station, unit.place, unit.release is not None, matters)


def brief_of(
    traveller: Traveller | None,
    shop: Shop | None = None,
    reader: str = "",
    wanted: Wanted | None = None,
    crew: str = "",
) -> Brief:
    shop = shop or Shop()
    turn = shop.turn(MORNING)
    glances = [glance_of(traveller)] if traveller else []
    who = Reader(reader, crew, NEVER)
    return make_brief(turn, MORNING, who, glances, shop_sources.matters_of(shop, turn), wanted)


def standing(
    entries: Sequence[Entry], starts: Callable[[Body], bool], ends: Callable[[Body, Entry], bool]
) -> list[Entry]:
    """Entries that start something and behind which nothing stands that ends it. Corrections start nothing."""
    started = [(place, one) for place, one in enumerate(entries) if starts(one.body) and not one.corrects]
    return [one for place, one in started if not any(ends(later.body, one) for later in entries[place + 1 :])]


def raises(kind: HazardKind) -> Callable[[Body], bool]:
    return lambda body: (
        (isinstance(body, HazardRaised) and body.hazard is kind)
        or (isinstance(body, Answered) and body.hazard_raised is kind)
    )


def clears(kind: HazardKind) -> Callable[[Body, Entry], bool]:
    return lambda body, _: (
        (isinstance(body, HazardCleared) and body.hazard is kind)
        or (isinstance(body, Answered) and body.hazard_cleared is kind)
    )


@given(travellers)
def test_no_hazard_and_nothing_under_power_drops_out(traveller: Traveller) -> None:
    brief = brief_of(traveller)
    said = " ".join(line.says for line in brief.under(Section.DANGER))
    for kind in HazardKind:
        if standing(traveller.entries, raises(kind), clears(kind)):
            assert kind.label.upper() in said
    live = standing(traveller.entries, raises(HazardKind.ENERGISED), clears(HazardKind.ENERGISED))
    placed = standing(traveller.entries, lambda body: isinstance(body, Placed), lambda _, __: False)
    assert bool(brief.under(Section.RUNNING)) >= bool(live and placed)


@given(travellers)
def test_no_hold_no_question_and_no_nonconformity_drops_out(traveller: Traveller) -> None:
    brief = brief_of(traveller)

    def referred(section: Section) -> set[str]:
        return {line.matter.refers for line in brief.under(section)}

    entries = traveller.entries
    held = standing(entries, lambda body: isinstance(body, Held), lambda body, _: isinstance(body, Resumed))
    assert bool(brief.under(Section.HELD)) >= bool(held)
    asked = standing(
        entries,
        lambda body: isinstance(body, Asked),
        lambda body, asked: isinstance(body, Replied) and body.question == asked.id,
    )
    assert {str(one.id) for one in asked} <= referred(Section.QUESTION)
    bad = standing(
        entries,
        lambda body: isinstance(body, SentBack | NonconformityRaised),
        lambda body, found: isinstance(body, NonconformityClosed) and body.nonconformity == found.id,
    )
    assert {str(one.id) for one in bad} <= referred(Section.BAD)


@given(any_shops())
def test_nothing_of_the_shop_drops_out(entries: list[Entry]) -> None:
    shop = fold_shop(entries)
    brief = brief_of(None, shop)
    given_items = {
        item.number: place
        for place, entry in enumerate(entries)
        if isinstance(entry.body, HandoverPrepared)
        for item in entry.body.items
    }

    def ended(number: int, place: int) -> bool:
        """Accepted and not asked about afterwards by whoever accepted it, or carried on while nobody had."""
        taker = ""
        for one in entries[place + 1 :]:
            body = one.body
            if isinstance(body, HandoverPrepared) and number in {i.carries for i in body.items} and not taker:
                return True
            if isinstance(body, ItemAccepted) and body.item == number:
                taker = taker or one.by
            if isinstance(body, ItemAsked) and body.item == number and one.by == taker:
                taker = ""
        return bool(taker)

    open_ones = {str(number) for number, place in given_items.items() if not ended(number, place)}
    assert open_ones == {line.matter.refers for line in brief.under(Section.ITEM)}
    notes = standing(
        entries,
        lambda body: isinstance(body, ShopNoted),
        lambda body, note: isinstance(body, ShopNoteEnded) and body.note == note.id,
    )
    assert {str(one.id) for one in notes} == {line.matter.refers for line in brief.under(Section.NOTE)}
    asked = standing(
        entries,
        lambda body: isinstance(body, ShopAsked),
        lambda body, question: isinstance(body, ShopReplied) and body.question == question.id,
    )
    assert {str(one.id) for one in asked} == {line.matter.refers for line in brief.under(Section.QUESTION)}


@given(any_shops(), st.integers(0, 20))
def test_a_shop_folded_in_two_goes_is_the_shop_folded_in_one(entries: list[Entry], cut: int) -> None:
    before = fold_shop(entries[:cut])
    untouched = fold_shop(entries[:cut])
    assert fold_shop(entries[cut:], before) == fold_shop(entries)
    assert before == untouched


@given(travellers, any_shops(), st.sampled_from(["goods_in", "component_work", ""]), st.sampled_from(["A", "B", ""]))
def test_a_filter_says_how_much_it_keeps_back(
    traveller: Traveller, entries: list[Entry], station: str, crew: str
) -> None:
    shop = fold_shop(entries)
    everything = brief_of(traveller, shop)
    wanted = Wanted(station, crew, "", {person: shop.crew_of(person) for person in shop.crews})
    some = brief_of(traveller, shop, wanted=wanted)
    assert len(some.lines) + some.hidden == len(everything.lines)
    assert set(some.lines) <= set(everything.lines)
    dangers = len(everything.under(Section.DANGER)) - len(some.under(Section.DANGER))
    assert some.hidden_dangers == dangers
    if station:
        assert {line.station for line in some.lines} <= {station}


@given(travellers)
def test_what_is_kept_with_a_card_comes_back(traveller: Traveller) -> None:
    matters = unit_sources.matters_of(traveller.view)
    assert from_text(as_text(matters)) == matters


# ---- what is shown to whom ------------------------------------------------------------------------------


def says(brief: Brief, section: Section) -> list[str]:
    return [line.says for line in brief.under(section)]


def test_a_note_stands_until_the_reader_has_seen_it_and_for_others_goes_on() -> None:
    traveller = booked_in()
    note = traveller.enter(Noted(text="fan loose", watch="noise", for_whom=("crew A", BEN)), LEA)
    assert says(brief_of(traveller, reader=ANNA, crew="A"), Section.NOTE) == ["fan loose; watch: noise"]
    assert says(brief_of(traveller, reader=ANNA, crew="B"), Section.NOTE) == []
    assert says(brief_of(traveller, reader=BEN, crew="B"), Section.NOTE) == ["fan loose; watch: noise"]
    traveller.enter(NoteSeen(note=note.id), ANNA)
    assert says(brief_of(traveller, reader=ANNA, crew="A"), Section.NOTE) == []
    assert says(brief_of(traveller, reader=BEN), Section.NOTE) == ["fan loose; watch: noise"]
    assert says(brief_of(traveller), Section.NOTE) == ["fan loose; watch: noise"]


def test_what_falls_due_is_what_is_due_by_the_end_of_this_shift() -> None:
    """The shift ends at 14:00 on 3 March: what is due that day or before is shown, what is due the next is not."""
    for day, due in ((date(2031, 3, 2), True), (date(2031, 3, 3), True), (date(2031, 3, 4), False)):
        traveller = booked_in()
        traveller.enter(Held(reason="parts", look_again=day), LEA)
        lines = brief_of(traveller).under(Section.DUE)
        assert bool(lines) == due
        assert [line.late for line in lines] == [day < date(2031, 3, 3)] * due


def test_the_night_shift_sees_what_is_due_on_the_day_on_which_it_ends() -> None:
    traveller = booked_in()
    traveller.enter(Held(reason="parts", look_again=date(2031, 3, 4)), LEA)
    turn = Shop().turn(MORNING + timedelta(hours=17))
    assert turn.shift == "night"
    brief = make_brief(turn, turn.starts, Reader("", "", NEVER), [glance_of(traveller)], ())
    assert says(brief, Section.DUE) == ["Tue 4 Mar look again: parts"]


def test_a_day_that_has_gone_by_on_the_wall_is_late_though_the_shift_began_on_it() -> None:
    traveller = booked_in()
    traveller.enter(Held(reason="parts", look_again=date(2031, 3, 3)), LEA)
    turn = Shop().turn(MORNING + timedelta(hours=17))
    for hours, says_ in ((0, "Mon 3 Mar look again: parts"), (4, "LATE Mon 3 Mar look again: parts")):
        now = turn.starts + timedelta(hours=hours)
        assert says(make_brief(turn, now, Reader("", "", NEVER), [glance_of(traveller)], ()), Section.DUE) == [says_]


def test_a_note_that_was_read_is_not_what_changed_last() -> None:
    traveller = booked_in()
    note = traveller.enter(Noted(text="fan ordered"), LEA)
    traveller.enter(NoteSeen(note=note.id), BEN)
    (told,) = says(brief_of(traveller), Section.CHANGED)
    assert told == "noted: fan ordered"


def test_a_reader_sees_what_others_did_since_they_were_here() -> None:
    traveller = booked_in()
    at = traveller.entries[-1].at
    glance, turn = glance_of(traveller), Shop().turn(MORNING)

    def changed(reader: Reader) -> list[str]:
        return says(make_brief(turn, MORNING, reader, [glance], ()), Section.CHANGED)

    assert changed(Reader(BEN, "", at)) == []
    assert len(changed(Reader(BEN, "", at - timedelta(seconds=1)))) == 1
    assert changed(Reader(ANNA, "", NEVER)) == []
    (told,) = changed(Reader(BEN, "", NEVER, {TAG: {"answered": 2, "noted": 1}}))
    assert told.startswith("3 lines (2 × answered, 1 × noted), last hazard raised: ")


def test_lines_are_in_the_order_of_the_headings_and_the_newest_first() -> None:
    entries: list[Entry] = []
    for number in range(3):
        entered(entries, ShopAsked(text=f"question {number}"), LEA)
    entered(entries, ShopNoted(text="crane"), LEA)
    traveller = booked_in()
    brief = brief_of(traveller, fold_shop(entries))
    assert [line.section.rank for line in brief.lines] == sorted(line.section.rank for line in brief.lines)
    assert says(brief, Section.QUESTION) == ["question 2", "question 1", "question 0"]
    assert sum(brief.counts().values()) == len(brief.lines)


@pytest.mark.parametrize(
    ("for_whom", "person", "crew", "station", "theirs"),
    [
        ((), ANNA, "A", "", True),
        (("a",), ANNA, "A", "", True),
        (("crew A",), ANNA, "A", "", True),
        (("B",), ANNA, "A", "", False),
        ((ANNA,), ANNA, "", "", True),
        (("load test",), BEN, "", "load_test", True),
        (("load_test",), BEN, "", "goods_in", False),
    ],
)
def test_for_whom_a_note_is(for_whom: tuple[str, ...], person: str, crew: str, station: str, theirs: bool) -> None:
    assert concerns(for_whom, person, crew, station) is theirs


@given(st.text(max_size=30))
def test_names_are_read_from_any_text(text: str) -> None:
    assert all(name.strip() == name and name for name in read_whom(text))
    assert read_whom(f"{text}, everybody") == ()


def test_a_line_is_a_plain_value() -> None:
    """A screen may hold a line while the brief is made anew."""
    line: Any = brief_of(booked_in()).lines[0]
    with pytest.raises(AttributeError):
        line.says = "something else"
