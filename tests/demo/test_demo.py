"""The demo workshop, built once: what the brief of the demo asks for, and the rules that it may not bend."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from traveller.record.evidence import State
from traveller.record.view import UnitView
from traveller.record.worklist import LineState
from traveller.shipped import load_package, shipped_folder
from traveller.store.workshop import Workshop, utc_now
from traveller.vocabulary import HazardKind, Role, UnitKind


@pytest.fixture(scope="module")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    opened = Workshop.open(str(tmp_path_factory.mktemp("demo") / "demo.sqlite"))
    load_package("traveller_demo", shipped_folder("demo")).build(opened)
    yield opened
    opened.close()


@pytest.fixture(scope="module")
def views(workshop: Workshop) -> list[UnitView]:
    """Every unit, those that have left too: found by their customers."""
    tags = {card.tag for card in workshop.floor()}
    customers = {card.customer for card in workshop.floor()}
    tags |= {card.tag for one in customers for card in workshop.find(one)}
    return [workshop.unit(tag) for tag in sorted(tags)]


def test_about_sixty_units_of_all_kinds_at_all_stations(workshop: Workshop, views: list[UnitView]) -> None:
    assert 56 <= len(views) <= 64
    assert {one.unit.nameplate.unit_kind for one in views if one.unit.nameplate} == set(UnitKind)
    at = Counter(card.station for card in workshop.floor())
    assert all(at[sheet.key] >= 3 for sheet in workshop.desk.stations.book.sheets), at


def test_everybody_signs_on_with_the_demo_pin(workshop: Workshop) -> None:
    shop = workshop.shop()
    assert shop.demo and len(shop.people) == 14
    assert {role for person in shop.people.values() for role in person.roles} == set(Role)
    assert workshop.sign_on("Marit", "2468").may(Role.LEAD)


def test_one_instrument_is_out_of_calibration_and_was_used_once(workshop: Workshop, views: list[UnitView]) -> None:
    out = [one for one in workshop.shop().instruments.values() if one.calibration_due < workshop.today()]
    assert len(out) == 1
    marked = [
        standing
        for one in views
        for standing in one.standings()
        if standing.state is State.OUT_OF_CALIBRATION and standing.evidence
    ]
    assert [one.evidence.instruments[0].tag for one in marked if one.evidence] == [out[0].tag]


def test_held_units_say_why_and_when_to_look_again(views: list[UnitView]) -> None:
    holds = [one.unit.hold for one in views if one.unit.hold]
    assert len(holds) >= 5 and len({hold.reason for hold in holds}) >= 3


def test_exactly_two_units_can_hurt_somebody(views: list[UnitView]) -> None:
    live = [set(one.unit.hazards) for one in views if one.unit.hazards]
    assert sorted(live, key=str) == sorted(({HazardKind.STORED_CHARGE}, {HazardKind.ENERGISED}), key=str)


def test_some_were_sent_back_and_their_proof_is_stale(views: list[UnitView]) -> None:
    sent_back = [one for one in views if one.unit.open_nonconformities()]
    stale = [one for one in sent_back if any(standing.state is State.STALE for standing in one.standings())]
    assert len(stale) >= 3
    assert {one.unit.station for one in stale} == {"diagnosis", "component_work"}


def test_questions_notes_and_work_lists_stand_open(views: list[UnitView]) -> None:
    assert any(one.unit.open_questions() for one in views)
    assert sum(bool(one.unit.notes) for one in views) >= 8
    in_work = [one.unit.work.values() for one in views if not one.unit.release]
    states = {line.state for lines in in_work for line in lines}
    assert states >= {LineState.PLANNED, LineState.FITTED, LineState.VERIFIED}
    assert any(line.matched_set and line.reason == "matched set" for lines in in_work for line in lines)


def test_released_units_went_through_the_gate(views: list[UnitView]) -> None:
    gone = [one for one in views if one.unit.release]
    assert 6 <= len(gone) <= 8
    assert all([reason.kind for reason in one.reasons] == ["released"] for one in gone)
    repaired = [one for one in gone if one.unit.outcome == "repair"]
    assert all(standing.state.counts for one in repaired for standing in one.standings() if standing.check.required)


def test_some_are_promised_for_today_or_were_for_earlier(workshop: Workshop) -> None:
    promised = [card.promised for card in workshop.floor() if card.promised]
    assert any(day < workshop.today() for day in promised)
    assert any(day == workshop.today() for day in promised)


def test_every_unit_says_what_comes_next(views: list[UnitView]) -> None:
    # Six letters: the shortest question of a sheet.
    assert all(len(one.next_step().strip()) >= 6 for one in views)


def test_the_record_verifies_and_cards_equal_their_folds(workshop: Workshop) -> None:
    assert workshop.verify() == []
    assert workshop.cards_astray() == []


def test_time_runs_forward_and_ends_just_before_now(workshop: Workshop, views: list[UnitView]) -> None:
    now = datetime.now(UTC)
    assert workshop.desk.clock is utc_now
    for one in views:
        times = [entry.at for entry in one.entries]
        assert times == sorted(times) and times[-1] < now
    latest = max(entry.at for one in views for entry in one.entries)
    assert now - latest < timedelta(minutes=15)


def test_people_work_in_their_own_shift_and_nobody_inspects_their_own_work(views: list[UnitView]) -> None:
    by_hour = Counter(entry.at.hour // 8 for one in views for entry in one.entries)
    assert len(by_hour) == 3
    own = [standing for one in views for standing in one.standings() if standing.state is State.OWN_WORK]
    assert own == []


def test_a_second_plan_is_the_same(workshop: Workshop) -> None:
    plan = load_package("traveller_demo", shipped_folder("demo")).units
    assert plan(workshop.today()) == plan(workshop.today())
