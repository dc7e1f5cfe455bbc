"""From the record to the report: what is taken, by whom, on which day of the shop."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from hypothesis import given

from tests.record.any_entries import any_travellers, travellers_that_went_on
from tests.record.shop_floor import ANNA, BEN, IDA, LEA, PEOPLE, TAG, Traveller, may_leave
from traveller.errors import Refused
from traveller.record.canonical import canonical
from traveller.record.entries import ConcessionGranted, NonconformityRaised, Released
from traveller.record.report import Report, digest_of
from traveller.record.reporting import report_of
from traveller.record.shop import Shop
from traveller.record.shop_entries import ShopNamed

NOW = datetime(2031, 6, 1, 23, 30, tzinfo=UTC)
SEAL = "ab" * 32


def shop(zone: str = "UTC") -> Shop:
    return Shop(name="Ambrose Motor Works", zone=zone, people=dict(PEOPLE))


def released() -> Traveller:
    traveller = may_leave()
    traveller.enter(Released(statement="repaired and proved", outcome="repair", digest=SEAL), IDA)
    return traveller


def test_people_are_named_by_what_they_did() -> None:
    report = report_of(released().view, shop(), NOW)
    assert set(report.people.worked) == {PEOPLE[ANNA].name}
    assert set(report.people.inspected) == {PEOPLE[IDA].name}
    assert report.release is not None
    assert (report.release.by, report.release.seal) == (PEOPLE[IDA].name, SEAL)
    assert report.identity == f"{TAG}-{SEAL[:12].upper()}"


def test_a_draft_is_dated_by_the_clock_and_in_the_zone_of_the_shop() -> None:
    """23:30 UTC on 1 June is 01:30 on 2 June in Berlin (summer time, UTC+2, IANA)."""
    report = report_of(may_leave().view, shop("Europe/Berlin"), NOW)
    assert (report.draft, report.issued, report.identity) == (True, date(2031, 6, 2), TAG)


def test_a_released_report_no_longer_depends_on_the_clock() -> None:
    view = released().view
    later = datetime(2041, 1, 1, tzinfo=UTC)
    assert report_of(view, shop(), NOW) == report_of(view, shop(), later)


def test_a_concession_stands_with_the_word_of_the_customer() -> None:
    traveller = may_leave()
    raised = traveller.enter(NonconformityRaised(found="scratch on the cover"), BEN)
    traveller.enter(ConcessionGranted(nonconformity=raised.id, reason="looks only", customers_word="Ms Fry"), LEA)
    (one,) = report_of(traveller.view, shop(), NOW).concessions
    assert (one.found, one.why, one.customers_word, one.by) == (
        "scratch on the cover",
        "looks only",
        "Ms Fry",
        PEOPLE[LEA].name,
    )


def test_a_unit_that_was_never_booked_in_has_no_report() -> None:
    with pytest.raises(Refused, match="never booked in"):
        report_of(Traveller().view, shop(), NOW)


@given(any_travellers())
def test_any_sequence_of_entries_gives_a_report_or_a_sentence(traveller: Traveller) -> None:
    view = traveller.view
    try:
        report = report_of(view, shop(), NOW)
    except Refused:
        assert view.unit.booked_at is None
        return
    assert Report.model_validate_json(canonical(report)) == report


@given(travellers_that_went_on())
def test_the_report_holds_what_counts_and_its_digest_is_that_of_its_facts(traveller: Traveller) -> None:
    view = traveller.view
    report = report_of(view, shop(), NOW)
    assert report.draft == (view.unit.release is None)
    assert report.draft or report.still_open == 0
    assert len(report.concessions) == sum(n.state == "conceded" for n in view.unit.nonconformities.values())
    changed = report.model_copy(update={"customer": f"{report.customer}."})
    assert digest_of(canonical(report)) != digest_of(canonical(changed))


def test_the_address_of_the_shop_is_an_optional_field() -> None:
    old = ShopNamed.model_validate({"kind": "shop named", "name": "Works", "zone": "UTC", "demo": False})
    assert old.address == ""
