"""The demo workshop, built once: what the brief of the demo asks for, and the rules that it may not bend."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from traveller.judgement import Verdict
from traveller.record.entries import Entry
from traveller.record.evidence import State
from traveller.record.handover_entries import Risk
from traveller.record.photos import all_photos
from traveller.record.siblings import suspicion
from traveller.record.thermal_entries import ThermalTaken
from traveller.record.traces import NodeTraces, compared
from traveller.record.view import UnitView
from traveller.record.worklist import LineState, progress
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


# ---- the shifts, and what one of them handed over -----------------------------------------------------------


def test_four_crews_and_everybody_is_in_one_of_them(workshop: Workshop) -> None:
    shop = workshop.shop()
    crews = Counter(shop.crew_of(tag) for tag in shop.people)
    assert sorted(crews) == ["A", "B", "C", "D"] and sum(crews.values()) == 14
    for crew in crews:
        roles = {role for tag, one in shop.people.items() if shop.crew_of(tag) == crew for role in one.roles}
        assert roles >= {Role.LEAD, Role.INSPECTOR, Role.LOAD_TESTER, Role.TECHNICIAN}, crew
    coming = workshop.shifts.coming(24)
    assert all(len(turn.crews) == 1 for turn in coming)
    assert workshop.shifts.warnings() == []


def test_people_enter_things_in_the_shifts_of_their_crew(workshop: Workshop, views: list[UnitView]) -> None:
    shop = workshop.shop()
    entered = [entry for one in views for entry in one.entries if entry.at > shop.roster.set[0].valid_from]
    own = list(entries_by_the_crew_on(workshop, entered))
    # Some work takes a role that the crew on shift has not got: a dispatch clerk is not there around the clock.
    assert len(own) / len(entered) > 0.9


def entries_by_the_crew_on(workshop: Workshop, entries: list[Entry]) -> Iterator[Entry]:
    shop = workshop.shop()
    return (one for one in entries if shop.crew_of(one.by) in shop.turn(one.at).crews)


def test_the_last_shift_handed_over_what_people_can_take_in(workshop: Workshop) -> None:
    shop = workshop.shop()
    (given,) = shop.handovers.given.values()
    turn = shop.turn(given.at)
    assert shop.crew_of(given.by) in turn.crews and turn.ends == workshop.shifts.watch().now.starts
    items = list(shop.handovers.items.values())
    assert 8 <= len(items) <= 16
    assert {one.state for one in items} >= {"accepted", "asked", "open"}
    live = [one for one in items if one.item.risk is Risk.LIVE]
    assert live and all(one.state == "accepted" for one in live)


def test_every_heading_of_the_brief_has_something_to_say(workshop: Workshop) -> None:
    for person in workshop.shop().present():
        counts = workshop.briefing.brief(person.tag).counts()
        if person.may(Role.LEAD):
            assert all(counts.values()), (person.name, counts)
    assert workshop.briefing.brief().complaint == ""


# ---- parts, measuring, heat runs, leaving -------------------------------------------------------------------


def test_a_half_fitted_drive_and_a_moisture_clock(workshop: Workshop, views: list[UnitView]) -> None:
    listed = [one for one in views if one.unit.parts.parts]
    assert len(listed) == 3
    assert any(progress(one.unit.work, "fitted").startswith("12 of 24 fitted") for one in listed)
    assert any(line.reason == "driver check" for one in listed for line in one.unit.work.values())
    clocks = [line for one in views for line in workshop.bags.clocks(one)]
    assert [line.reference for line in clocks if line.state == "running"] == ["U40"]


def suspects(view: UnitView) -> dict[str, NodeTraces]:
    return {name: node for name, node in view.unit.traces.items() if node.suspect}


def test_siblings_traces_and_runs_are_there_to_look_at(workshop: Workshop, views: list[UnitView]) -> None:
    (stage,) = [table for one in views for table in one.unit.siblings.values()]
    assert len(stage.devices) == 6 and len(stage.rows) == 4
    assert suspicion(stage, None).says.startswith("Q5")
    (traced,) = [one for one in views if suspects(one)]
    good = workshop.measuring.good_traces(traced.unit.tag)
    apart = {
        name: compared(traced.unit.tag, node, good.get(name, ()), traced.judges).finding
        for name, node in suspects(traced).items()
    }
    assert [name for name, found in apart.items() if found and found.verdict is Verdict.FAIL] == ["U40.7"]
    assert len([one for one in views if one.unit.runs]) == 1


def test_one_run_goes_on_one_is_booked_and_two_are_judged(workshop: Workshop) -> None:
    runs = workshop.heat_runs.all()
    assert Counter(one.run.state for one in runs) == {"running": 1, "planned": 1, "judged": 1}
    going = runs[0]
    assert going.hold.started and not going.hold.met and going.faults == ()
    assert going.due and timedelta(0) < going.due - going.now < timedelta(minutes=10)
    judged = next(one for one in runs if one.run.state == "judged")
    assert judged.run.judged and judged.run.judged.verdict is Verdict.PASS
    planned = next(one for one in runs if one.run.state == "planned")
    (booking,) = [one for one in workshop.rigs.booked()[planned.run.rig] if one.unit == planned.tag]
    assert booking.begins > workshop.shifts.watch().now.starts


def test_one_thermal_picture_passed_and_one_found_a_hot_spot(views: list[UnitView]) -> None:
    pictures = [entry.body for one in views for entry in one.unit.thermal if isinstance(entry.body, ThermalTaken)]
    verdicts = [{seen.finding.verdict for seen in one.seen} for one in pictures]
    assert sorted(Verdict.FAIL in one for one in verdicts) == [False, True]


def test_estimates_wait_and_joints_are_counted(views: list[UnitView]) -> None:
    waiting = [one for one in views if one.unit.findings_made.latest and not one.unit.findings_made.authority]
    assert len(waiting) == 2 and all(one.unit.hold for one in waiting)
    assert sum(bool(one.unit.joints) for one in views) >= 4
    assert sum(any(photo.of == "" or photo.of == "Q5" for photo in all_photos(one.unit)) for one in views) >= 2


def test_two_left_with_their_packing_and_one_came_back(workshop: Workshop, views: list[UnitView]) -> None:
    packed = [one for one in views if one.unit.packed]
    assert len(packed) == 2 and all(one.unit.release for one in packed)
    assert all("packing-list.pdf" in workshop.papers.all(one.unit.tag) for one in packed)
    (back,) = [one.unit.returned for one in views if one.unit.returned]
    assert back.covered and workshop.unit(back.earlier).unit.release
