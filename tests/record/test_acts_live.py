"""What is live stays where it is; what was looked for goes on; what was measured late clears nothing."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from tests.record.refusals import anna, ida, lea, refusal
from tests.record.shop_floor import ANNA, MORNING, NAMEPLATE, VOLTMETER, Traveller, amps, booked_in, may_leave, volts
from tests.record.three_stations import BOOK, CHARGE, CLEANED, DAMAGE, JUDGES, OUTPUT
from traveller.book import Book
from traveller.record.acts import answer as answering
from traveller.record.acts import route
from traveller.record.acts.rights import Proposed
from traveller.record.answers import Chosen, Ticked
from traveller.record.entries import Answered, HazardCleared, HazardRaised, Moved
from traveller.record.evidence import State
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.view import UnitView, view
from traveller.vocabulary import HazardKind

LIVE = HazardRaised(hazard=HazardKind.ENERGISED, detail="on the rig")
TODAY = MORNING.date()
EXPIRED = VOLTMETER.model_copy(update={"calibration_due": TODAY - timedelta(days=1)})
LAST_DAY = VOLTMETER.model_copy(update={"calibration_due": TODAY})
LATER = TODAY + timedelta(days=30)


def answered_at(proposed: Sequence[Proposed]) -> Answered:
    (one,) = proposed
    assert isinstance(one.body, Answered)
    return one.body


# ---- energised ------------------------------------------------------------------------------------------


def test_an_energised_unit_goes_nowhere_until_it_is_proved_dead() -> None:
    """IEC 60204-1 and local rules: nobody carries away what is live. Both ways are refused, in words."""
    traveller = booked_in()
    traveller.answer(CHARGE, volts(3), ANNA, [VOLTMETER])
    traveller.answer(DAMAGE, Chosen(option="none"), ANNA)
    traveller.answer(OUTPUT, amps(10), ANNA)
    traveller.enter(LIVE, ANNA)
    (on,) = refusal(lambda v: route.move_on(v, anna), traveller.view)
    assert on.startswith("hazard: energised (on the rig): switch off")
    traveller.enter(Moved(station="component_work"), ANNA)
    (back,) = refusal(lambda v: route.send_back(v, anna, "goods_in", "rust"), traveller.view)
    assert back == on
    traveller.enter(HazardCleared(hazard=HazardKind.ENERGISED, how="locked off, proved dead"), ANNA)
    assert route.send_back(traveller.view, anna, "goods_in", "rust")
    traveller.answer(CLEANED, Ticked(yes=True), ANNA)
    assert route.move_on(traveller.view, anna)


def test_another_hazard_keeps_a_unit_from_leaving_and_not_from_going_on_or_back() -> None:
    traveller = may_leave()
    traveller.enter(HazardRaised(hazard=HazardKind.HOT, detail="heat sink"), ANNA)
    assert traveller.view.blockers == []
    (said,) = refusal(lambda v: route.release(v, ida, "done", "0"), traveller.view)
    assert said.startswith("hazard: hot (heat sink)")
    assert route.send_back(traveller.view, lea, "goods_in", "rust")


# ---- looking for the fault ------------------------------------------------------------------------------

SEEKING = Book(
    sheets=tuple(
        sheet.model_copy(
            update={
                "checks": tuple(
                    one.model_copy(update={"seeks_fault": True}) if one.full_key == OUTPUT else one
                    for one in sheet.checks
                )
            }
        )
        for sheet in BOOK.sheets
    )
)


def seeking(traveller: Traveller) -> UnitView:
    return view(traveller.view.unit.tag, traveller.entries, SEEKING, JUDGES)


def enter_all(traveller: Traveller, proposed: Sequence[Proposed]) -> None:
    for one in proposed:
        traveller.enter(one.body, ANNA, one.corrects, one.because)


def test_a_fault_that_is_found_goes_on_and_holds_the_unit_behind_the_repair() -> None:
    traveller = booked_in()
    traveller.answer(CHARGE, volts(3), ANNA, [VOLTMETER])
    traveller.answer(DAMAGE, Chosen(option="none"), ANNA)
    enter_all(traveller, answering.answer(seeking(traveller), anna, OUTPUT, amps(9)))
    standing = seeking(traveller).proof.standing(next(c for c in SEEKING.checks() if c.full_key == OUTPUT))
    assert standing.state is State.FAILED
    (moved,) = route.move_on(seeking(traveller), anna)
    traveller.enter(moved.body, ANNA)

    traveller.answer(CLEANED, Ticked(yes=True), ANNA)
    (said,) = refusal(lambda v: route.move_on(v, anna), seeking(traveller))
    assert "Goods-in: Output current: fail" in said
    assert any(reason.check == OUTPUT for reason in seeking(traveller).reasons)
    enter_all(traveller, answering.answer(seeking(traveller), anna, OUTPUT, amps(10)))
    (moved,) = route.move_on(seeking(traveller), anna)
    assert moved.body == Moved(station="dispatch")


def test_a_plain_check_that_fails_holds_the_unit_at_once_and_an_open_search_too() -> None:
    traveller = booked_in()
    traveller.answer(CHARGE, volts(3), ANNA, [VOLTMETER])
    traveller.answer(DAMAGE, Chosen(option="none"), ANNA)
    (said,) = refusal(lambda v: route.move_on(v, anna), seeking(traveller))
    assert "Output current: not answered" in said
    traveller.answer(OUTPUT, amps(9), ANNA)
    (said,) = refusal(lambda v: route.move_on(v, anna), traveller.view)
    assert "Output current: fail" in said


# ---- presumed hazards and late instruments --------------------------------------------------------------


def test_what_a_kind_may_carry_stands_from_the_booking_until_it_is_measured() -> None:
    traveller = Traveller()
    enter_all(traveller, route.book_in(anna, NAMEPLATE, BOOK))
    hazard = traveller.view.unit.hazards[HazardKind.STORED_CHARGE]
    assert hazard.detail == "presumed until measured"
    assert any(reason.kind == "hazard" for reason in traveller.view.reasons)
    enter_all(traveller, answering.answer(traveller.view, anna, CHARGE, volts(3), [VOLTMETER], today=TODAY))
    assert traveller.view.unit.hazards == {}


def test_a_reading_by_a_late_instrument_is_kept_and_clears_nothing() -> None:
    traveller = booked_in()
    late = answered_at(answering.answer(traveller.view, anna, CHARGE, volts(3), [EXPIRED], today=TODAY))
    assert (late.hazard_cleared, late.finding.verdict) == (None, "pass")
    last_day = answered_at(answering.answer(traveller.view, anna, CHARGE, volts(3), [LAST_DAY], today=TODAY))
    assert last_day.hazard_cleared is HazardKind.STORED_CHARGE
    high = answered_at(answering.answer(traveller.view, anna, CHARGE, volts(400), [EXPIRED], today=TODAY))
    assert high.hazard_raised is HazardKind.STORED_CHARGE, "a late instrument still warns"
    traveller.enter(late, ANNA)
    assert HazardKind.STORED_CHARGE in traveller.view.unit.hazards
    assert traveller.state(CHARGE) == "out of calibration"


# ---- corrections ----------------------------------------------------------------------------------------


def corrected(
    traveller: Traveller, value: float, instruments: Sequence[InstrumentUsed], today: date = LATER
) -> Answered:
    target = traveller.latest(CHARGE)
    seen = traveller.view
    proposed = answering.answer(
        seen, anna, CHARGE, volts(value), instruments, corrects=target.id, because="slip", today=today
    )
    enter_all(traveller, proposed)
    return answered_at(proposed)


def test_calibrating_today_does_not_mend_what_was_measured_late() -> None:
    traveller = booked_in()
    enter_all(traveller, answering.answer(traveller.view, anna, CHARGE, volts(3), [EXPIRED], today=TODAY))
    renewed = EXPIRED.model_copy(update={"calibration_due": date(2040, 1, 1), "absolute": 0.0})
    for today in (TODAY, LATER):
        body = corrected(traveller, 4, [renewed], today)
        assert body.instruments == (EXPIRED,)
        assert body.hazard_cleared is None
        assert traveller.state(CHARGE) == "out of calibration"
    assert HazardKind.STORED_CHARGE in traveller.view.unit.hazards


def test_a_calibration_that_has_run_out_since_does_not_spoil_a_correction() -> None:
    traveller = booked_in()
    enter_all(traveller, answering.answer(traveller.view, anna, CHARGE, volts(3), [LAST_DAY], today=TODAY))
    measured = traveller.latest(CHARGE).at
    for value in (4, 5):
        body = corrected(traveller, value, [LAST_DAY])
        assert body.hazard_cleared is HazardKind.STORED_CHARGE
        assert traveller.view.unit.hazards == {}
        assert traveller.state(CHARGE) == "pass"
        current = traveller.view.unit.current(CHARGE)
        assert current
        assert current.measured == measured


def test_another_instrument_that_was_late_on_the_day_of_the_reading_clears_nothing() -> None:
    traveller = booked_in()
    enter_all(traveller, answering.answer(traveller.view, anna, CHARGE, volts(3), [VOLTMETER], today=TODAY))
    other = EXPIRED.model_copy(update={"tag": "I-2"})
    assert corrected(traveller, 4, [other]).hazard_cleared is None
    assert HazardKind.STORED_CHARGE in traveller.view.unit.hazards
    assert traveller.state(CHARGE) == "out of calibration"
