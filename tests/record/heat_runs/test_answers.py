"""What a run answers about speed and power, judged by the shipped judges, against worked values."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from uuid import UUID

import pytest

from tests.record.heat_runs.rows import PLAN, START, fed, run_of
from traveller.judgement import Finding, Verdict
from traveller.record.answers import Calculated
from traveller.record.forms import build
from traveller.record.heat_runs.channels import Channel, read_channel
from traveller.record.heat_runs.faults import open_faults
from traveller.record.heat_runs.run import Run
from traveller.record.heat_runs.verdict import parts, proved
from traveller.record.run_entries import ReadingsTaken
from traveller.stationbook import load_stations

STATIONS = load_stations()
NOW = START + timedelta(minutes=200)
LOAD = read_channel("I: current, rated 60, load")
INPUT = tuple(map(read_channel, ("U in: input voltage", "I in: input current", "pf: power factor")))


def run_with(channels: Sequence[Channel], full: Mapping[str, float], empty: Mapping[str, float] | None = None) -> Run:
    """Typed every ten minutes: without load if `empty` is given, then an hour at full load."""
    plan = PLAN.model_copy(update={"channels": (LOAD, *channels)})
    rows = [{"I": 0.6, **empty}] if empty else []
    rows += [{"I": 60.0, **full}] * 8
    readings = tuple(
        ReadingsTaken(run=UUID(int=1), taken=START + timedelta(minutes=10 * n), values=row)
        for n, row in enumerate(rows)
    )
    return replace(run_of([], plan), readings=readings, stopped=NOW)


def found(run: Run, what: str) -> Finding | None:
    """The finding of the shipped judge on what the run answers."""
    check = STATIONS.book.check(f"load_test.{'speed_regulation' if what == 'speed' else 'input_power'}")
    assert check
    for one in proved(run, [], {what: check}, NOW):
        assert isinstance(one.answer, Calculated)
        judge = STATIONS.judges[check.judge_name]
        return judge.finding(build(judge.model, {name: float(text) for name, text in one.answer.inputs.items()}))
    return None


def figure(finding: Finding | None, name: str) -> float:
    assert finding
    return next(float(one.value) for one in finding.values if one.name == name)


@pytest.mark.parametrize(
    ("empty", "full", "percent"), [(1800, 1750, 2.8571), (1500, 1462, 2.5992), (1877.67, 1800, 4.3148)]
)
def test_speed_regulation_of_a_run(empty: float, full: float, percent: float) -> None:
    """SR% = 100 (N0 − NFL) / NFL, textbook; the last is Rashid ex. 14.6, computed."""
    speed = read_channel("speed: speed")
    finding = found(run_with((speed,), {"speed": full}, {"speed": empty}), "speed")
    assert figure(finding, "percent") == pytest.approx(percent, abs=1e-3)


def test_without_a_reading_at_no_load_the_run_says_nothing_of_the_speed() -> None:
    assert found(run_with((read_channel("speed: speed"),), {"speed": 1750}), "speed") is None


def test_a_speed_out_of_its_limits_fails_the_run() -> None:
    """1500 rpm without load and at most 2.5 % drop are at least 1463.4 rpm; 1462 rpm drop by 2.5992 % (computed)."""
    speed = read_channel("speed: speed, at least 1463.4")
    judged = {one.name: one.finding.verdict for one in parts(run_with((speed,), {"speed": 1462}), [], NOW)}
    assert judged["speed"] is Verdict.FAIL
    judged = {one.name: one.finding.verdict for one in parts(run_with((speed,), {"speed": 1464}), [], NOW)}
    assert judged["speed"] is Verdict.PASS


def test_input_power_and_efficiency_of_a_run() -> None:
    """BHP = √3 U I pf η / 746: 460 V, 60 A, 0.86, η 0.92 are 41 112 W in and 50.701 hp out."""
    out = read_channel("shaft: output power")
    given = {"U in": 460.0, "I in": 60.0, "pf": 0.86}
    alone = found(run_with(INPUT, given), "power")
    assert figure(alone, "input_w") == pytest.approx(41112.0, rel=1e-4)
    finding = found(run_with((*INPUT, out), {**given, "shaft": 50.701 * 746}), "power")
    assert figure(finding, "efficiency") == pytest.approx(92, rel=1e-4)
    assert finding and finding.verdict is Verdict.PASS


def test_the_torque_of_the_shaft_too() -> None:
    """Load stand for a 60 hp motor (industrialmonitordirect.com): 44.76 kW at 1765 rpm are 242 N·m."""
    more = (read_channel("shaft: output power"), read_channel("speed: speed"))
    given = {"U in": 460.0, "I in": 68.0, "pf": 0.86, "shaft": 44.76e3, "speed": 1765.0}
    assert figure(found(run_with((*INPUT, *more), given), "power"), "torque_nm") == pytest.approx(242.16, abs=0.5)


def test_three_lines_are_taken_by_their_mean() -> None:
    """EngToolbox: 400 V, 20 A, pf 1 are 13 856.4 W; 398, 400 and 402 V have the mean 400 V."""
    lines = tuple(read_channel(f"L{n}: input voltage") for n in (1, 2, 3))
    run = run_with((*lines, *INPUT[1:]), {"L1": 398, "L2": 400, "L3": 402, "I in": 20, "pf": 1})
    assert figure(found(run, "power"), "input_w") == pytest.approx(13856.4, abs=0.1)


@pytest.mark.parametrize("missing", ["U in", "I in", "pf"])
def test_without_one_of_the_three_nothing_is_answered(missing: str) -> None:
    given = {"U in": 460.0, "I in": 60.0, "pf": 0.86}
    del given[missing]
    assert found(run_with(INPUT, given), "power") is None


@pytest.mark.parametrize(("out", "percent", "verdict"), [(37823.0, 92.0, Verdict.PASS), (41200.0, 100.2, Verdict.FAIL)])
def test_efficiency_from_two_power_channels(out: float, percent: float, verdict: Verdict) -> None:
    """η = 100 Pout / Pin: 37 823 W (50.701 hp) of 41 112 W are 92 %; more out than in cannot be."""
    powers = (read_channel("line: input power"), read_channel("shaft: output power"))
    run = run_with(powers, {"line": 41112.0, "shaft": out})
    (judged,) = [one.finding for one in parts(run, [], NOW) if one.name == "efficiency"]
    assert judged.verdict is verdict
    assert figure(judged, "efficiency") == pytest.approx(percent, abs=0.05)


# ---- a logger that has no column for it ------------------------------------------------------------------


def logged(pf: str = "") -> list[str]:
    """Rows of an hour at full load, one a second; `pf` is the text of a further column."""
    rows = [f"time,I,{'pf' if pf else 'note'}"]
    for second in range(0, 4000, 5):
        at = (START + timedelta(seconds=second)).isoformat()
        rows.append(f"{at},{60 + 0.1 * (second % 3)},{pf or 'x'}")
    return rows


def faults_of(rows: list[str], typed: Mapping[str, float] | None = None) -> set[str]:
    plan = PLAN.model_copy(update={"channels": (LOAD, INPUT[2])})
    run = run_of(fed(rows, plan), plan)
    if typed:
        body = ReadingsTaken(run=run.id, taken=START + timedelta(minutes=60), values=dict(typed))
        run = replace(run, readings=(body,))
    return {one.fault for one in open_faults(run, START + timedelta(seconds=4000))}


def test_a_power_factor_that_was_typed_is_not_missing() -> None:
    assert faults_of(logged()) == {"channel missing"}
    assert faults_of(logged(), {"pf": 0.86}) == set()
    assert faults_of(logged(), {"I": 60.0}) == {"channel missing"}


def test_a_power_factor_above_one_cannot_be() -> None:
    assert "implausible" in faults_of(logged("86"))
    steady = faults_of(logged("0.86"))
    assert "implausible" not in steady
    assert "channel dead" in steady, "an hour and more at exactly one figure is looked into"


def test_every_quantity_can_be_typed_as_a_channel() -> None:
    names = [read_channel(f"x: {one.quantity}").quantity for one in INPUT]
    assert all(one != other for one, other in pairwise(names))
