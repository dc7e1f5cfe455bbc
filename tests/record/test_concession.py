"""A concession lets one named answer pass (ISO 9000: release of what does not conform), and nothing else."""

from __future__ import annotations

from uuid import UUID

from tests.record.shop_floor import ANNA, IDA, LEA, Traveller, amps, may_leave
from tests.record.three_stations import CLEANED, INSPECTED, OUTPUT
from traveller.record.answers import Ticked
from traveller.record.entries import ConcessionGranted, Entry, NonconformityClosed, NonconformityRaised, Withdrawn
from traveller.record.work_entries import WorkFitted

NO = Ticked(yes=False)


def concession(nonconformity: Entry, answer: UUID | None) -> ConcessionGranted:
    return ConcessionGranted(
        nonconformity=nonconformity.id, reason="derated", customers_word="by letter", answer=answer
    )


def conceded() -> Traveller:
    """A unit whose output is short, let pass for that answer."""
    traveller = may_leave()
    short = traveller.answer(OUTPUT, amps(9), ANNA)
    found = traveller.enter(NonconformityRaised(found="output is short", check=OUTPUT), IDA)
    traveller.enter(concession(found, short.id), LEA)
    return traveller


def test_a_concession_lets_the_named_answer_pass() -> None:
    traveller = conceded()
    assert traveller.state(OUTPUT) == "conceded"
    assert traveller.view.reasons == []


def test_a_concession_does_not_cover_a_later_failing_answer_or_its_correction() -> None:
    traveller = conceded()
    traveller.answer(OUTPUT, amps(9), ANNA)
    assert traveller.why_shut == [("check", "fail")]
    traveller = conceded()
    traveller.answer(OUTPUT, amps(8), ANNA, corrects=traveller.latest(OUTPUT))
    assert traveller.why_shut == [("check", "fail")]


def test_a_concession_covers_neither_a_stale_nor_an_unanswered_check() -> None:
    traveller = may_leave()
    failed = traveller.answer(CLEANED, NO, ANNA)
    found = traveller.enter(NonconformityRaised(found="flux", check=CLEANED), IDA)
    traveller.enter(concession(found, failed.id), LEA)
    assert traveller.state(CLEANED) == "conceded"
    traveller.enter(WorkFitted(reference="Q3", fitted="another"), ANNA)
    assert traveller.state(CLEANED) == "stale"
    traveller.enter(Withdrawn(), ANNA, failed)
    assert traveller.state(CLEANED) == "open"


def test_a_concession_for_another_answer_lets_nothing_pass() -> None:
    traveller = may_leave()
    passed = traveller.latest(INSPECTED)
    traveller.answer(OUTPUT, amps(9), ANNA)
    found = traveller.enter(NonconformityRaised(found="output is short", check=OUTPUT), IDA)
    traveller.enter(concession(found, passed.id), LEA)
    assert traveller.why_shut == [("check", "fail")]


def test_a_nonconformity_closed_after_the_concession_no_longer_lets_the_answer_pass() -> None:
    traveller = conceded()
    (found,) = traveller.view.unit.nonconformities
    traveller.enter(NonconformityClosed(nonconformity=found, how="nothing was done"), LEA)
    assert traveller.why_shut == [("check", "fail")]
