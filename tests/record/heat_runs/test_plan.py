"""The plan that follows from ratings, and the changes that a person types."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.record.heat_runs.rows import HEAD, PLAN, START, fed, run_of, stamp
from tests.record.shop_floor import NAMEPLATE
from traveller.errors import InputError, Refused
from traveller.record.entries import Entry
from traveller.record.heat_runs.changes import Changes, changed, read_steps
from traveller.record.heat_runs.channels import read_channel
from traveller.record.heat_runs.plan import Step
from traveller.record.heat_runs.usual import UsualRun, usual_plan
from traveller.record.saying import said
from traveller.stationbook import load_stations
from traveller.vocabulary import RATINGS, UnitKind

STATIONS = load_stations()


@pytest.fixture(name="usual")
def _usual() -> UsualRun:
    assert STATIONS.usual_run
    return STATIONS.usual_run


def test_the_usual_run_names_only_what_there_is(usual: UsualRun) -> None:
    """Every check, rating and criterion of run.toml is one."""
    keys = [*usual.before_power, usual.energise, usual.reform_plan, *usual.answers.values()]
    assert [key for key in keys if STATIONS.book.check(key) is None] == []
    rated = {one.rated for channels in usual.channels.values() for one in channels if one.rated}
    assert rated <= set(RATINGS)
    heat = STATIONS.book.check(usual.answers["heat"])
    assert heat
    options = STATIONS.judges[heat.judge_name].model.model_json_schema()["properties"]["criterion"]["enum"]
    assert usual.criterion in options
    assert usual.hot_above == 60  # what the check "cooled" calls too hot to touch


def test_the_plan_goes_up_in_quarters_and_holds_an_hour(usual: UsualRun) -> None:
    """Common practice: 25, 50, 75 % of rated, then 60 min at 100 %."""
    plan = usual_plan(usual, NAMEPLATE)
    assert [(step.percent, step.what) for step in plan.steps] == [
        (25, "raise"),
        (50, "raise"),
        (75, "raise"),
        (100, "hold"),
    ]
    assert plan.hold.minutes == 60
    assert plan.band_of(plan.load_channels[0]) == (9.5, 10.5)  # 10 A ± 5 %, by hand


@pytest.mark.parametrize("kind", [UnitKind.OPERATOR_PANEL, UnitKind.CIRCUIT_BOARD])
def test_what_has_no_load_has_no_run(usual: UsualRun, kind: UnitKind) -> None:
    with pytest.raises(Refused, match="no load that is raised"):
        usual_plan(usual, NAMEPLATE.model_copy(update={"unit_kind": kind}))


def test_a_missing_rating_is_asked_for(usual: UsualRun) -> None:
    with pytest.raises(Refused, match="output amps"):
        usual_plan(usual, NAMEPLATE.model_copy(update={"ratings": {}}))


def test_every_part_of_a_plan_can_be_other_than_usual() -> None:
    wanted = Changes(
        steps="50 % 5 min; 90 5",
        hold="2 h",
        overload="150 % 1 min",
        band="3",
        every="5",
        gap="2",
        channels=("heatsink: temperature, at most 70", "speed: speed, at least 1450"),
        drop=("ambient",),
    )
    plan = changed(PLAN, wanted)
    assert [step.in_words() for step in plan.steps] == [
        "raise 50 % 5 min",
        "raise 90 % 5 min",
        "hold 100 % 120 min",
        "overload 150 % 1 min",
    ]
    assert [one.name for one in plan.channels] == ["U", "V", "W", "heatsink", "speed"]
    assert (plan.channels[3].at_most, plan.channels[4].at_least) == (70, 1450)
    assert (plan.band_percent, plan.reading_minutes, plan.gap_minutes) == (3, 5, 2)
    assert plan.highest_percent == 150


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        (Changes(steps="25"), "percent and minutes"),
        (Changes(hold="-5"), "minutes"),
        (Changes(band="soon"), "band"),
        (Changes(drop=("U", "V", "W")), "load channel"),
        (Changes(drop=("fan",)), "no channel"),
        (Changes(channels=("fan",)), "not a channel"),
        (Changes(channels=("I: current, load",)), "full load"),
    ],
)
def test_what_cannot_be_is_refused_in_words(wanted: Changes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        changed(PLAN, wanted)


@given(st.lists(st.tuples(st.integers(1, 400), st.integers(1, 600)), min_size=1, max_size=6))
def test_steps_are_read_as_they_are_written(steps: list[tuple[int, int]]) -> None:
    text = ", ".join(f"{percent} % {minutes} min" for percent, minutes in steps)
    assert read_steps(text, "raise") == tuple(Step(percent=p, minutes=m) for p, m in steps)


@given(st.text(max_size=40))
def test_any_words_are_a_channel_or_a_sentence(text: str) -> None:
    try:
        assert read_channel(text).name
    except InputError as error:
        assert str(error)


@pytest.mark.parametrize(("share", "step"), [(0, -1), (19, -1), (24, 0), (50, 1), (74, 2), (97, 3), (103, 3)])
def test_the_present_step_is_seen_from_the_load(share: float, step: int) -> None:
    assert PLAN.step_at(share) == step


def test_the_history_says_a_chunk_in_one_short_line() -> None:
    """A day's run has more than a thousand of them."""
    (batch,) = fed([HEAD, f"{stamp(0)},12,12,12,40,23", f"{stamp(0.5)},12,12,oops,40,23"])
    body = run_of([batch]).chunks[0]
    entry = Entry(id=body.run, subject="U1", sequence=1, at=START, by="P-1", terminal="T", body=body)
    assert said(entry) == "2 samples, 06:00:00 to 06:00:30 UTC; not a number"
