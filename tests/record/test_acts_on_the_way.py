"""Acts on a unit on its way: what is proposed when a rule allows it, and the refusals that need a history."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

import pytest

from tests.record.refusals import Act, anna, ben, gone, ida, lea, refusal
from tests.record.shop_floor import (
    ANNA,
    BEN,
    IDA,
    LEA,
    MORNING,
    NAMEPLATE,
    VOLTMETER,
    Traveller,
    amps,
    booked_in,
    may_leave,
    ready_for_work,
    volts,
)
from tests.record.three_stations import BOOK, CHARGE, CLEANED, DAMAGE, INSPECTED, OUTPUT, REMARK
from traveller.errors import Overtaken
from traveller.record.acts import answer as answering
from traveller.record.acts import remark, route, work
from traveller.record.answers import Chosen, Ticked, Written
from traveller.record.entries import (
    Answered,
    BookedIn,
    ConcessionGranted,
    HazardRaised,
    Moved,
    NonconformityRaised,
    Noted,
    Released,
)
from traveller.record.shop import Person, Shop
from traveller.record.work_entries import WorkFitted, WorkPlanned
from traveller.vocabulary import HazardKind, Role, UnitKind

YES, NO = Ticked(yes=True), Ticked(yes=False)
TODAY = MORNING.date()
UNKNOWN = UUID(int=7)


def test_moving_past_open_checks_lists_every_reason() -> None:
    traveller = booked_in()
    said = refusal(lambda v: route.move_on(v, anna), traveller.view)
    assert len(said) == 3, said
    for question in ("DC link, volts", "Damage?", "Output current"):
        assert sum(question in sentence and "answer it" in sentence for sentence in said) == 1


def test_a_unit_moves_on_when_its_required_checks_pass() -> None:
    traveller = booked_in()
    traveller.answer(CHARGE, volts(3), ANNA, [VOLTMETER])
    traveller.answer(DAMAGE, Chosen(option="none"), ANNA)
    traveller.answer(OUTPUT, amps(10), ANNA)
    (moved,) = route.move_on(traveller.view, anna)
    assert moved.body == Moved(station="component_work")


def test_a_unit_does_not_go_on_while_a_planned_part_is_not_fitted() -> None:
    traveller = ready_for_work()
    traveller.answer(CLEANED, YES, ANNA)
    traveller.enter(WorkPlanned(reference="C17", part="capacitor", reason="aged"), ANNA)
    (said,) = refusal(lambda v: route.move_on(v, anna), traveller.view)
    assert said == "C17 capacitor: planned, not fitted: bring it to fitted"


def test_nothing_goes_on_from_the_last_station() -> None:
    (said,) = refusal(lambda v: route.move_on(v, ida), may_leave().view)
    assert "last station" in said


def test_a_release_takes_the_role_and_an_empty_gate() -> None:
    traveller = may_leave()
    (said,) = refusal(lambda v: route.release(v, anna, "done", "0"), traveller.view)
    assert "may not release" in said
    traveller.answer(OUTPUT, amps(9), ANNA)
    traveller.enter(NonconformityRaised(found="scratch"), IDA)
    assert len(refusal(lambda v: route.release(v, ida, "done", "0"), traveller.view)) == 2


def test_a_release_says_what_was_conceded() -> None:
    traveller = may_leave()
    traveller.answer(OUTPUT, amps(9), ANNA)
    found = traveller.enter(NonconformityRaised(found="output is short", check=OUTPUT), IDA)
    (granted,) = remark.concede(traveller.view, lea, found.id, "derated", "Mr Example, by letter")
    assert isinstance(granted.body, ConcessionGranted)
    assert granted.body.answer == traveller.latest(OUTPUT).id
    traveller.enter(granted.body, LEA)
    (released,) = route.release(traveller.view, ida, route.statement_for(traveller.view), "0")
    assert isinstance(released.body, Released)
    assert released.body.concessions == ("output is short (customer: Mr Example, by letter)",)
    assert "1 concession" in released.body.statement


def test_a_concession_takes_a_lead_and_covers_no_answer_that_passes_or_is_stale() -> None:
    traveller = may_leave()
    found = traveller.enter(NonconformityRaised(found="dull joint", check=INSPECTED), IDA)
    (said,) = refusal(lambda v: remark.concede(v, ida, found.id, "fine", "by letter"), traveller.view)
    assert "shift lead" in said
    for stale in (False, True):
        if stale:
            traveller.enter(WorkFitted(reference="Q3", fitted="another"), ANNA)
        (granted,) = remark.concede(traveller.view, lea, found.id, "fine", "by letter")
        assert isinstance(granted.body, ConcessionGranted)
        assert granted.body.answer is None


def test_a_nonconformity_is_closed_by_somebody_else_and_when_its_check_passes() -> None:
    traveller = may_leave()
    traveller.answer(OUTPUT, amps(9), ANNA)
    found = traveller.enter(NonconformityRaised(found="output is short", check=OUTPUT), IDA)
    (said,) = refusal(lambda v: remark.close_nonconformity(v, ida, found.id, "done"), traveller.view)
    assert "does not pass yet" in said
    traveller.answer(OUTPUT, amps(10), ANNA)
    worked = Person(ANNA, "Anna", (Role.TECHNICIAN, Role.INSPECTOR))
    (said,) = refusal(lambda v: remark.close_nonconformity(v, worked, found.id, "done"), traveller.view)
    assert "somebody else" in said
    assert remark.close_nonconformity(traveller.view, ida, found.id, "new shunt")


def test_an_inspection_by_who_did_the_work_is_refused() -> None:
    traveller = may_leave()
    traveller.enter(WorkFitted(reference="Q3", fitted="another"), BEN)
    (said,) = refusal(lambda v: answering.answer(v, ben, INSPECTED, YES), traveller.view)
    assert "somebody else" in said


def test_an_answer_given_meanwhile_is_shown_before_it_is_covered() -> None:
    traveller = booked_in()
    traveller.answer(OUTPUT, amps(9), BEN)
    with pytest.raises(Overtaken, match=r"answered a moment ago: 9 A at .* by P-BEN"):
        answering.answer(traveller.view, anna, OUTPUT, amps(10), seen=None)
    seen = traveller.latest(OUTPUT).id
    assert answering.answer(traveller.view, anna, OUTPUT, amps(10), seen=seen)
    assert answering.answer(traveller.view, anna, OUTPUT, amps(10)), "not looked at: nothing to compare"


def corrected(person: Person, target: UUID, key: str = OUTPUT, because: str = "slip") -> Act:
    return lambda v: answering.answer(v, person, key, amps(10), corrects=target, because=because)


def test_corrections_that_are_refused() -> None:
    traveller = ready_for_work()
    own, remarked = traveller.latest(OUTPUT), traveller.enter(Noted(text="seen"), ANNA)
    assert "same person or a shift lead" in refusal(corrected(ben, own.id), traveller.view)[0]
    assert "why the answer is corrected" in refusal(corrected(anna, own.id, because=" "), traveller.view)[0]
    assert "not an answer to" in refusal(corrected(anna, remarked.id), traveller.view)[0]
    assert "not an answer to" in refusal(corrected(anna, traveller.latest(DAMAGE).id), traveller.view)[0]
    assert "has an act that ends it" in refusal(corrected(anna, traveller.entries[1].id), traveller.view)[0]
    assert "has an act that ends it" in refusal(corrected(anna, UNKNOWN), traveller.view)[0]
    traveller.answer(OUTPUT, amps(10), ANNA, corrects=own)
    assert "correct the newer one" in refusal(corrected(anna, own.id), traveller.view)[0]


def test_who_has_left_corrects_nothing_and_a_lead_corrects_for_others() -> None:
    traveller = ready_for_work()
    own = traveller.latest(OUTPUT)
    assert "may not" in refusal(corrected(gone, own.id), traveller.view)[0]
    assert "may not" in refusal(lambda v: answering.withdraw(v, gone, own.id, "slip"), traveller.view)[0]
    (proposed,) = answering.answer(traveller.view, lea, OUTPUT, amps(9), corrects=own.id, because="slip")
    assert (proposed.corrects, proposed.because) == (own.id, "slip")


def test_a_booking_is_corrected_and_never_withdrawn() -> None:
    traveller = booked_in()
    (said,) = refusal(lambda v: answering.withdraw(v, anna, traveller.entries[0].id, "slip"), traveller.view)
    assert "never withdrawn" in said


def test_booking_in_presumes_the_hazards_of_the_kind() -> None:
    drive = route.book_in(anna, NAMEPLATE, BOOK)
    assert [one.body.kind for one in drive] == ["booked in", "hazard raised"]
    board = NAMEPLATE.model_copy(update={"unit_kind": UnitKind.CIRCUIT_BOARD})
    assert [one.body.kind for one in route.book_in(anna, board, BOOK)] == ["booked in"]
    assert "may not book" in refusal(lambda _: route.book_in(ida, NAMEPLATE, BOOK), booked_in().view)[0]


def test_a_nameplate_corrected_to_another_kind_brings_the_hazards_of_that_kind() -> None:
    board = NAMEPLATE.model_copy(update={"unit_kind": UnitKind.CIRCUIT_BOARD})
    traveller = Traveller()
    for proposed in route.book_in(anna, board, BOOK):
        traveller.enter(proposed.body, ANNA)
    assert not traveller.view.unit.hazards
    booking, hazard = answering.correct_nameplate(traveller.view, anna, NAMEPLATE, "wrong plate")
    assert isinstance(booking.body, BookedIn)
    assert booking.corrects == traveller.entries[0].id
    assert isinstance(hazard.body, HazardRaised)
    assert hazard.body.hazard is HazardKind.STORED_CHARGE
    other = NAMEPLATE.model_copy(update={"serial": "2"})
    assert len(answering.correct_nameplate(booked_in().view, anna, other, "serial misread")) == 1


def test_a_passing_answer_clears_its_hazard_and_a_failing_one_raises_it() -> None:
    traveller = booked_in()
    (low,) = answering.answer(traveller.view, anna, CHARGE, volts(60), [VOLTMETER])
    (high,) = answering.answer(traveller.view, anna, CHARGE, volts(61), [VOLTMETER])
    assert isinstance(low.body, Answered)
    assert isinstance(high.body, Answered)
    assert (low.body.hazard_cleared, low.body.hazard_raised) == (HazardKind.STORED_CHARGE, None)
    assert (high.body.hazard_cleared, high.body.hazard_raised) == (None, HazardKind.STORED_CHARGE)


def test_the_whole_matched_set_is_planned_once() -> None:
    traveller = ready_for_work()
    planned = work.plan(traveller.view, anna, ["Q3"], "IGBT", "failed", "output stage", ["Q1", "q3", "Q5"])
    assert [(one.body.reference, one.body.reason) for one in planned if isinstance(one.body, WorkPlanned)] == [
        ("Q3", "failed"),
        ("Q1", "matched set"),
        ("Q5", "matched set"),
    ]


AFTER_RELEASE: dict[str, Act] = {
    "answering": lambda v: answering.answer(v, anna, REMARK, Written(text="one more")),
    "withdrawing": lambda v: answering.withdraw(v, anna, v.entries[2].id, "slip"),
    "correcting the nameplate": lambda v: answering.correct_nameplate(v, anna, NAMEPLATE, "slip"),
    "a note": lambda v: remark.note(v, anna, "seen"),
    "a question": lambda v: remark.ask(v, anna, "why?"),
    "a hazard": lambda v: remark.raise_hazard(v, anna, HazardKind.HOT, "sink"),
    "a nonconformity": lambda v: remark.raise_nonconformity(v, anna, "scratch"),
    "a concession": lambda v: remark.concede(v, lea, UNKNOWN, "fine", "by letter"),
    "a shelf": lambda v: route.place(v, anna, "S-1", Shop()),
    "moving": lambda v: route.move_on(v, ida),
    "sending back": lambda v: route.send_back(v, ida, "goods_in", "rust"),
    "holding": lambda v: route.hold(v, ida, "parts", TODAY, TODAY),
    "deciding": lambda v: route.decide(v, lea, "scrap", "burnt", "by letter"),
    "planning": lambda v: work.plan(v, anna, ["C17"], "capacitor", "aged"),
    "fitting": lambda v: work.fit(v, anna, "Q3", "another"),
    "releasing": lambda v: route.release(v, ida, "done", "0"),
}


@pytest.mark.parametrize("what", AFTER_RELEASE)
def test_a_sealed_traveller_takes_nothing_more(what: str) -> None:
    traveller = may_leave()
    traveller.enter(Released(statement="done", outcome="repair", digest="0"), IDA)
    (said,) = refusal(AFTER_RELEASE[what], traveller.view)
    assert "sealed" in said
    assert "book it in anew" in said
    (said,) = refusal(AFTER_RELEASE[what], replace(traveller.view, unit=Traveller().view.unit))
    assert "never booked in" in said
