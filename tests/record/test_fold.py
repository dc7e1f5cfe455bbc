"""What a unit is, is worked out from its entries: any sequence folds, and a correction mends without renewing."""

from __future__ import annotations

from uuid import UUID

from hypothesis import given, settings

from tests.record.any_entries import ANSWERS, any_travellers, travellers_that_went_on
from tests.record.shop_floor import (
    ANNA,
    BEN,
    IDA,
    LEA,
    NAMEPLATE,
    TAG,
    VOLTMETER,
    Traveller,
    amps,
    answered,
    booked_in,
    may_leave,
    ready_for_work,
    volts,
)
from tests.record.three_stations import AFTER_INSPECTION, BOOK, CHARGE, CLEANED, DAMAGE, INSPECTED, OUTPUT, PHOTOS
from traveller.judgement import Verdict
from traveller.record.answers import Calculated, Chosen, Ticked, in_words
from traveller.record.entries import BookedIn, Noted, Withdrawn
from traveller.record.gate import blockers, gate
from traveller.record.saying import said
from traveller.record.unit import fold
from traveller.record.work_entries import WorkFitted
from traveller.vocabulary import HazardKind

YES, NO = Ticked(yes=True), Ticked(yes=False)
UNKNOWN = UUID(int=7)


SAID_BY_THEIR_KIND = ("note seen", "resumed", "withdrawn")


def say_everything(traveller: Traveller) -> None:
    """All that a screen asks of a unit; none of it may raise, and of what stands in the way nothing is without words.
    A calculation is shown by its finding.
    """
    seen = traveller.view
    for reason in gate(seen.proof) + blockers(seen.proof):
        assert reason.says.strip() and reason.todo.strip(), reason
    assert seen.next_step().strip()
    for sheet in BOOK.sheets:
        first = seen.first_open(sheet.key)
        assert first is None or first in seen.standings(sheet.key)
    for entry in traveller.entries:
        assert said(entry).strip() or entry.body.kind in SAID_BY_THEIR_KIND, entry
    for past in seen.unit.answers.values():
        for one in past:
            assert one.answer is None or in_words(one.answer).strip() or isinstance(one.answer, Calculated), one


def test_the_sequences_below_answer_every_check() -> None:
    assert set(ANSWERS) == {check.full_key for check in BOOK.checks()}


@settings(max_examples=120, deadline=None)
@given(any_travellers())
def test_any_sequence_of_entries_folds_and_can_be_shown(traveller: Traveller) -> None:
    say_everything(traveller)


@settings(max_examples=120, deadline=None)
@given(travellers_that_went_on())
def test_any_sequence_behind_a_finished_unit_folds_and_can_be_shown(traveller: Traveller) -> None:
    say_everything(traveller)


@settings(max_examples=60, deadline=None)
@given(travellers_that_went_on())
def test_folding_twice_gives_the_same_unit(traveller: Traveller) -> None:
    assert fold(TAG, traveller.entries) == fold(TAG, list(traveller.entries))
    assert gate(traveller.view.proof) == gate(traveller.view.proof)


@settings(max_examples=60, deadline=None)
@given(travellers_that_went_on())
def test_the_record_only_grows(traveller: Traveller) -> None:
    """Folding more entries never takes an answer out of the history of its check."""
    before, after = fold(TAG, traveller.entries[:-1]), fold(TAG, traveller.entries)
    for check, history in before.answers.items():
        assert after.answers[check][: len(history)] == history


def test_a_correction_counts_and_what_it_corrects_stays_on_the_record() -> None:
    traveller = ready_for_work()
    slip = traveller.answer(OUTPUT, amps(9), BEN)
    assert traveller.state(OUTPUT) == "fail"
    mended = traveller.answer(OUTPUT, amps(9.9), BEN, corrects=slip)
    assert traveller.state(OUTPUT) == "pass"
    assert [one.entry for one in traveller.view.unit.answers[OUTPUT]][-2:] == [slip.id, mended.id]
    assert traveller.view.unit.corrected == {slip.id: mended.id}
    assert slip in traveller.entries


def test_a_correction_made_after_rework_does_not_make_old_proof_new() -> None:
    traveller = may_leave()
    inspected = traveller.latest(INSPECTED)
    traveller.enter(WorkFitted(reference="Q3", fitted="another"), ANNA)
    assert traveller.state(INSPECTED) == "stale"
    traveller.answer(INSPECTED, YES, IDA, corrects=inspected)
    assert traveller.state(INSPECTED) == "stale"
    traveller.answer(INSPECTED, YES, IDA)
    assert traveller.state(INSPECTED) == "pass"


def test_a_correction_of_an_older_answer_does_not_stand_before_the_newer_one() -> None:
    traveller = booked_in()
    first = traveller.answer(OUTPUT, amps(9), ANNA)
    traveller.answer(OUTPUT, amps(10), BEN)
    traveller.answer(OUTPUT, amps(9.2), ANNA, corrects=first)
    assert traveller.state(OUTPUT) == "pass"


def test_a_correction_of_a_correction_stands_where_the_first_answer_stood() -> None:
    traveller = ready_for_work()
    first = traveller.answer(CLEANED, NO, ANNA)
    second = traveller.answer(CLEANED, YES, ANNA, corrects=first)
    third = traveller.answer(CLEANED, YES, ANNA, corrects=second)
    current = traveller.view.unit.current(CLEANED)
    assert current
    assert (current.entry, current.stands_at) == (third.id, first.sequence)


def test_what_rests_on_a_corrected_answer_is_stale() -> None:
    traveller = may_leave()
    inspected = traveller.latest(INSPECTED)
    traveller.answer(INSPECTED, YES, IDA, corrects=inspected)
    assert (traveller.state(INSPECTED), traveller.state(AFTER_INSPECTION)) == ("pass", "stale")


def test_a_withdrawal_opens_the_check_and_does_not_bring_an_older_answer_back() -> None:
    traveller = booked_in()
    traveller.answer(OUTPUT, amps(10), ANNA)
    newer = traveller.answer(OUTPUT, amps(11), ANNA)
    traveller.enter(Withdrawn(), ANNA, newer)
    assert traveller.state(OUTPUT) == "open"
    assert traveller.view.unit.current(OUTPUT) is None
    traveller.answer(OUTPUT, amps(12), ANNA)
    assert traveller.state(OUTPUT) == "pass"


def test_withdrawing_an_older_answer_leaves_the_newer_one_standing() -> None:
    traveller = booked_in()
    older = traveller.answer(OUTPUT, amps(9), ANNA)
    traveller.answer(OUTPUT, amps(11), ANNA)
    traveller.enter(Withdrawn(), ANNA, older)
    assert traveller.state(OUTPUT) == "pass"


def test_a_withdrawn_answer_no_longer_brings_up_the_check_behind_it() -> None:
    traveller = booked_in()
    broken = traveller.answer(DAMAGE, Chosen(option="broken"), ANNA)
    assert PHOTOS in [check.full_key for check in traveller.view.proof.asked()]
    traveller.enter(Withdrawn(), ANNA, broken)
    assert PHOTOS not in [check.full_key for check in traveller.view.proof.asked()]


def test_a_correction_of_another_kind_of_another_check_or_of_nothing_is_left_out() -> None:
    traveller = ready_for_work()
    note = traveller.enter(Noted(text="seen"), ANNA)
    before = traveller.view.unit.answers[OUTPUT]
    for target in (note, traveller.entries[0], traveller.entries[2]):
        assert getattr(target.body, "check", "") != OUTPUT
        traveller.answer(OUTPUT, amps(9), ANNA, corrects=target)
    traveller.enter(Noted(text="again"), ANNA, UNKNOWN)
    assert traveller.view.unit.answers[OUTPUT] == before
    assert [one.id for one in traveller.view.unit.notes] == [note.id]


def test_correcting_the_answer_that_cleared_a_hazard_brings_the_hazard_back() -> None:
    traveller = booked_in()
    measured = traveller.answer(CHARGE, volts(12), ANNA, [VOLTMETER])
    assert not traveller.view.unit.hazards
    traveller.answer(CHARGE, volts(420), ANNA, [VOLTMETER], corrects=measured)
    assert set(traveller.view.unit.hazards) == {HazardKind.STORED_CHARGE}
    traveller.answer(CHARGE, volts(3), ANNA, [VOLTMETER])
    assert not traveller.view.unit.hazards


def test_a_hazard_comes_back_with_a_correction_that_decides_nothing() -> None:
    traveller = booked_in()
    measured = traveller.answer(CHARGE, volts(12), ANNA, [VOLTMETER])
    near = answered(traveller.entries, CHARGE, volts(60), [VOLTMETER])
    undecided = near.finding.model_copy(update={"verdict": Verdict.UNDECIDED})
    traveller.enter(near.model_copy(update={"finding": undecided, "hazard_cleared": None}), ANNA, measured)
    assert set(traveller.view.unit.hazards) == {HazardKind.STORED_CHARGE}


def test_withdrawing_the_answer_that_cleared_a_hazard_brings_the_hazard_back() -> None:
    traveller = booked_in()
    measured = traveller.answer(CHARGE, volts(12), ANNA, [VOLTMETER])
    traveller.enter(Withdrawn(), LEA, measured)
    assert set(traveller.view.unit.hazards) == {HazardKind.STORED_CHARGE}


def test_a_choice_may_raise_a_hazard_without_failing() -> None:
    traveller = booked_in()
    traveller.answer(DAMAGE, Chosen(option="dirty"), ANNA)
    assert traveller.state(DAMAGE) == "pass"
    assert HazardKind.CONTAMINATION in traveller.view.unit.hazards


def test_a_corrected_nameplate_voids_what_was_judged_by_its_ratings() -> None:
    traveller = ready_for_work()
    wrong = traveller.entries[0]
    plate = NAMEPLATE.model_copy(update={"ratings": {"output_amps": 20.0}})
    traveller.enter(BookedIn(nameplate=plate, station="goods_in", editions={}), ANNA, wrong)
    assert traveller.view.unit.station == "component_work", "a corrected booking does not carry the unit back"
    assert traveller.view.unit.editions, "nor does it change the sheets it is worked by"
    assert (traveller.state(OUTPUT), traveller.state(CHARGE)) == ("stale", "pass")
    traveller.answer(OUTPUT, amps(10), ANNA)
    assert traveller.state(OUTPUT) == "fail", "10 A is short of 0.95 × 20 A"


def test_a_second_booking_with_other_ratings_voids_what_was_judged_by_the_first() -> None:
    traveller = ready_for_work()
    plate = NAMEPLATE.model_copy(update={"ratings": {"output_amps": 20.0}})
    traveller.enter(BookedIn(nameplate=plate, station="goods_in", editions={}), ANNA)
    assert traveller.state(OUTPUT) == "stale"


def test_a_note_can_be_corrected_and_withdrawn() -> None:
    traveller = booked_in()
    first = traveller.enter(Noted(text="led"), ANNA)
    mended = traveller.enter(Noted(text="lid"), ANNA, first)
    assert [one.id for one in traveller.view.unit.notes] == [mended.id]
    traveller.enter(Withdrawn(), ANNA, mended)
    assert not traveller.view.unit.notes
