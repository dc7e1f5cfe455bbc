"""What keeps a unit in the workshop: each reason alone shuts the gate of a unit that might leave."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest

from tests.record.shop_floor import (
    ANNA,
    BEN,
    IDA,
    LEA,
    TAG,
    VOLTMETER,
    Traveller,
    amps,
    may_leave,
    volts,
)
from tests.record.three_stations import (
    AFTER_INSPECTION,
    CHARGE,
    CLEANED,
    DAMAGE,
    ENERGY,
    INSPECTED,
    OUTPUT,
    PHOTOS,
    TAG_IN_HAND,
)
from traveller.record.answers import Calculated, Chosen, NotApplicable, Scanned, Ticked
from traveller.record.entries import (
    Asked,
    Body,
    Decided,
    HazardCleared,
    HazardRaised,
    Held,
    Moved,
    NonconformityClosed,
    NonconformityRaised,
    Released,
    Replied,
    Resumed,
    SentBack,
    Withdrawn,
)
from traveller.record.work_entries import WorkFitted, WorkPlanned, WorkRejected, WorkStruck, WorkVerified
from traveller.vocabulary import HazardKind

YES, NO = Ticked(yes=True), Ticked(yes=False)
EXPIRED = VOLTMETER.model_copy(update={"calibration_due": date(2031, 3, 2)})


def plan(traveller: Traveller) -> None:
    traveller.enter(WorkPlanned(reference="C17", part="capacitor", reason="aged"), ANNA)


def verify_own(traveller: Traveller) -> None:
    plan(traveller)
    traveller.enter(WorkStruck(reference="Q3", why="counted twice"), LEA)
    traveller.enter(WorkFitted(reference="C17", fitted="capacitor"), BEN)
    traveller.enter(WorkVerified(reference="C17"), BEN)
    for key in (CLEANED, INSPECTED, AFTER_INSPECTION):
        traveller.answer(key, YES, BEN if key == CLEANED else IDA)
    traveller.answer(TAG_IN_HAND, Scanned(tag=TAG), IDA)


def test_the_unit_of_these_tests_may_leave() -> None:
    assert may_leave().view.reasons == []


SHUTS: dict[str, tuple[Callable[[Traveller], object], list[tuple[str, str]]]] = {
    "a check withdrawn": (
        lambda t: t.enter(Withdrawn(), IDA, t.latest(TAG_IN_HAND)),
        [("check", "open")],
    ),
    "a check that an answer brings up": (
        lambda t: t.answer(DAMAGE, Chosen(option="broken"), ANNA),
        [("check", "open")],
    ),
    "a check failed": (lambda t: t.answer(OUTPUT, amps(9), ANNA), [("check", "fail")]),
    "the tag of another unit": (
        lambda t: t.answer(TAG_IN_HAND, Scanned(tag="U000002X"), IDA),
        [("check", "fail")],
    ),
    "a check not required, but failed": (
        lambda t: t.answer(ENERGY, Calculated(inputs={"allowed": "0"}), ANNA),
        [("check", "fail")],
    ),
    "a calibration that ran out the day before": (
        lambda t: t.answer(CHARGE, volts(5), ANNA, [EXPIRED]),
        [("check", "out of calibration")],
    ),
    "an instrument out of calibration beside a good one": (
        lambda t: t.answer(CHARGE, volts(5), ANNA, [VOLTMETER, EXPIRED]),
        [("check", "out of calibration")],
    ),
    "no instrument": (lambda t: t.answer(CHARGE, volts(5), ANNA), [("check", "no instrument")]),
    "an instrument of another class": (
        lambda t: t.answer(CHARGE, volts(5), ANNA, [VOLTMETER.model_copy(update={"instrument_class": "scale"})]),
        [("check", "no instrument")],
    ),
    "an inspection by who fitted": (
        lambda t: (t.answer(INSPECTED, YES, ANNA), t.answer(AFTER_INSPECTION, YES, ANNA)),
        [("check", "own work")],
    ),
    "an inspection by who answered where work is done": (
        lambda t: (t.answer(CLEANED, YES, BEN), t.answer(INSPECTED, YES, BEN), t.answer(AFTER_INSPECTION, YES, IDA)),
        [("check", "own work")],
    ),
    "what rests on an inspection made again": (
        lambda t: t.answer(INSPECTED, YES, IDA),
        [("check", "stale")],
    ),
    "a hazard": (
        lambda t: t.enter(HazardRaised(hazard=HazardKind.BATTERY, detail="swollen"), IDA),
        [("hazard", "")],
    ),
    "a hold": (lambda t: t.enter(Held(reason="parts", look_again=date(2031, 4, 1)), IDA), [("hold", "")]),
    "a nonconformity": (lambda t: t.enter(NonconformityRaised(found="a scratch"), IDA), [("nonconformity", "")]),
    "a question": (lambda t: t.enter(Asked(text="whose screws are these?"), IDA), [("question", "")]),
    "a line planned": (plan, [("work", "")]),
    "a line verified by its fitter": (verify_own, [("work", "")]),
    "another place than the last station": (
        lambda t: t.enter(Moved(station="component_work"), IDA),
        [("station", "")],
    ),
    "a release": (
        lambda t: t.enter(Released(statement="done", outcome="repair", digest="0"), IDA),
        [("released", "")],
    ),
}


@pytest.mark.parametrize("what", SHUTS)
def test_each_alone_shuts_the_gate(what: str) -> None:
    happens, expected = SHUTS[what]
    traveller = may_leave()
    happens(traveller)
    assert traveller.why_shut == expected


@pytest.mark.parametrize(
    "work", [WorkFitted(reference="Q3", fitted="another"), WorkRejected(reference="Q3", why="cold joint")]
)
def test_work_voids_the_proof_behind_it_and_through_it(work: WorkFitted | WorkRejected) -> None:
    traveller = may_leave()
    traveller.enter(work, ANNA)
    for key in (CLEANED, INSPECTED, AFTER_INSPECTION):
        assert traveller.state(key) == "stale"
    assert (traveller.state(OUTPUT), traveller.state(CHARGE)) == ("pass", "pass")


def test_sending_back_voids_the_proof_of_dispatch_and_opens_a_nonconformity() -> None:
    traveller = may_leave()
    traveller.enter(SentBack(station="component_work", found="cold joint"), IDA)
    assert {kind for kind, _ in traveller.why_shut} == {"check", "nonconformity", "station"}
    assert (traveller.state(INSPECTED), traveller.state(CLEANED)) == ("stale", "pass")


def test_a_reading_on_the_last_day_of_calibration_counts() -> None:
    traveller = may_leave()
    today = VOLTMETER.model_copy(update={"calibration_due": date(2031, 3, 3)})
    entry = traveller.answer(CHARGE, volts(5), ANNA, [today])
    assert entry.at.date() == today.calibration_due
    assert traveller.state(CHARGE) == "pass"


def test_who_fitted_a_part_that_was_rejected_and_replaced_still_did_the_work() -> None:
    traveller = may_leave()
    traveller.enter(WorkPlanned(reference="C17", part="capacitor", reason="aged"), ANNA)
    traveller.enter(WorkFitted(reference="C17", fitted="capacitor"), IDA)
    traveller.enter(WorkRejected(reference="C17", why="reversed"), BEN)
    traveller.enter(WorkFitted(reference="C17", fitted="capacitor"), ANNA)
    traveller.answer(INSPECTED, YES, IDA)
    assert traveller.state(INSPECTED) == "own work"


def test_taking_an_answer_off_the_record_at_a_working_station_is_not_work() -> None:
    traveller = may_leave()
    traveller.enter(Withdrawn(), IDA, traveller.latest(CLEANED))
    assert traveller.state(INSPECTED) == "pass"
    assert ANNA in traveller.view.proof.workers


def test_a_check_that_does_not_apply_needs_no_instrument_and_counts() -> None:
    traveller = may_leave()
    traveller.answer(OUTPUT, NotApplicable(reason="no output stage"), ANNA)
    assert traveller.view.reasons == []


@pytest.mark.parametrize(
    ("raised", "ended"),
    [
        (HazardRaised(hazard=HazardKind.HOT, detail="heat sink"), HazardCleared(hazard=HazardKind.HOT, how="30 °C")),
        (Held(reason="parts", look_again=date(2031, 4, 1)), Resumed()),
        (Moved(station="component_work"), Moved(station="dispatch")),
        (Decided(outcome="repair", reason="sure"), Decided(outcome="repair", reason="still sure")),
    ],
)
def test_what_was_put_right_opens_the_gate_again(raised: Body, ended: Body) -> None:
    traveller = may_leave()
    traveller.enter(raised, IDA)
    traveller.enter(ended, IDA)
    assert traveller.view.reasons == []


def test_a_question_replied_to_and_a_nonconformity_closed_open_the_gate_again() -> None:
    traveller = may_leave()
    question = traveller.enter(Asked(text="why?"), IDA)
    scratch = traveller.enter(NonconformityRaised(found="a scratch"), IDA)
    traveller.enter(Replied(question=question.id, text="because"), LEA)
    traveller.enter(NonconformityClosed(nonconformity=scratch.id, how="polished"), LEA)
    assert traveller.view.reasons == []


def test_a_unit_that_is_not_repaired_needs_only_the_checks_meant_for_that() -> None:
    traveller = may_leave()
    plan(traveller)
    traveller.answer(OUTPUT, amps(1), ANNA)
    traveller.enter(Decided(outcome="return unrepaired", reason="cost", customers_word="by letter"), LEA)
    assert traveller.view.reasons == []
    traveller.enter(Withdrawn(), IDA, traveller.latest(TAG_IN_HAND))
    assert traveller.why_shut == [("check", "open")]


def test_a_check_brought_up_and_answered_well_opens_the_gate_again() -> None:
    traveller = may_leave()
    traveller.answer(DAMAGE, Chosen(option="broken"), ANNA)
    traveller.answer(PHOTOS, YES, ANNA)
    assert traveller.view.reasons == []
