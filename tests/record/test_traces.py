"""Signature traces: what is kept of a file, and the limit that good siblings teach."""

from __future__ import annotations

import itertools
import math
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.record.any_entries import measured_travellers
from tests.record.at_diagnosis import STATIONS, Bench
from tests.record.shop_floor import ANNA, MORNING, PEOPLE, Traveller
from traveller.errors import InputError, Refused
from traveller.record.acts.traces import take_trace, trace_into_findings
from traveller.record.entries import Answered
from traveller.record.sibling_entries import TraceRole
from traveller.record.traces import Points, Trace, compared, learn, thinned
from traveller.vocabulary import UnitKind

VOLTS = [step / 20 for step in range(-20, 21)]


def junction(scale: float = 1.0) -> Points:
    """A junction after Shockley's equation, from -1 V to 1 V."""
    return tuple((volts, scale * 1e-3 * math.expm1(max(volts, 0.0) / 0.3)) for volts in VOLTS)


def good(scale: float, number: int = 0) -> Trace:
    at = MORNING + timedelta(hours=number)
    return Trace("U7.3", "good", junction(scale), len(VOLTS), "", f"{scale}", ANNA, at, 1, f"U{number}")


class Traced(Bench):
    def __init__(self) -> None:
        super().__init__(UnitKind.CIRCUIT_BOARD)

    def take(self, role: TraceRole, points: Points, node: str = "U7.3") -> None:
        body = take_trace(self.view, PEOPLE[ANNA], node, role, points, "u7.csv", f"{points}")[0].body
        self.enter(body, ANNA)


@pytest.mark.parametrize(("count", "percent"), [(0, None), (1, None), (2, None), (3, 6 / 0.97), (4, 8 / 0.97)])
def test_the_limit_rests_on_the_good_siblings_and_says_on_how_many(count: int, percent: float | None) -> None:
    """Scaled traces lie (b - a) / a apart in % of the largest current of the reference a: by hand."""
    traces = [good(scale, number) for number, scale in enumerate((0.97, 1.0, 1.03, 1.05)[:count])]
    learned = learn(traces, STATIONS.judges)
    assert learned.rests_on == count
    assert f"{count} good trace" in learned.says
    assert learned.percent == (None if percent is None else pytest.approx(percent))
    assert ("no limit" in learned.says) == (percent is None)


def test_the_same_file_twice_is_one_trace() -> None:
    learned = learn([good(1.0, 0), good(1.0, 1), good(1.02, 2)], STATIONS.judges)
    assert (learned.percent, learned.rests_on) == (None, 2)


def test_a_trace_over_other_volts_is_left_out_and_told() -> None:
    far = tuple((volts + 10, amps) for volts, amps in junction(1.01))
    other = Trace("U7.3", "good", far, len(far), "", "far", ANNA, MORNING, 1, "U9")
    learned = learn([good(1.0, 0), good(1.02, 1), good(1.04, 2), other], STATIONS.judges)
    assert learned.rests_on == 3
    assert "1 left out" in learned.working[0]


def test_a_suspect_beyond_what_good_siblings_show_is_named_with_the_worst_point() -> None:
    traced = Traced()
    traced.take("suspect", tuple((v, a * (1.5 if v > 0.5 else 1.0)) for v, a in junction()))
    node = traced.view.unit.traces["U7.3"]
    elsewhere = [good(scale, number) for number, scale in enumerate((0.98, 1.0, 1.02))]
    seen = compared("U000001X", node, elsewhere, STATIONS.judges)
    assert seen.finding is not None
    assert (seen.finding.verdict, seen.worst_voltage) == ("fail", 1.0)
    assert seen.says.endswith("(reference: U2)")
    assert "3 good traces" in seen.learned.says


def test_without_a_limit_nobody_says_that_it_is_alike() -> None:
    traced = Traced()
    traced.take("good", junction())
    traced.take("suspect", junction(1.01))
    seen = compared("U000001X", traced.view.unit.traces["U7.3"], [], STATIONS.judges)
    assert seen.finding is not None
    assert seen.finding.verdict == "undecided"
    assert seen.learned.says == "no limit: 1 good trace of this model at this node, and it takes at least 3"


def test_a_trace_goes_into_the_check_with_the_limit_that_was_learned() -> None:
    traced = Traced()
    traced.take("good", junction())
    with pytest.raises(Refused, match="no suspect"):
        trace_into_findings(traced.view, PEOPLE[ANNA], "u7.3", [])
    traced.take("suspect", junction(1.01))
    elsewhere = [good(0.98, 0), good(1.02, 1)]
    answered = trace_into_findings(traced.view, PEOPLE[ANNA], "u7.3", elsewhere)[0].body
    assert isinstance(answered, Answered)
    assert (answered.check, answered.finding.verdict) == ("diagnosis.trace_distance", "pass")
    traced.fit("U7")
    with pytest.raises(Refused, match="trace it again"):
        trace_into_findings(traced.view, PEOPLE[ANNA], "U7.3", elsewhere)


@pytest.mark.parametrize(
    ("node", "points", "words"),
    [("", junction(), "no name of a node"), ("U7", ((0.0, 0.0), (1.0, 1.0), (0.5, 0.5), (2.0, 1.0)), "turn back")],
)
def test_what_is_no_trace_is_refused(node: str, points: Points, words: str) -> None:
    with pytest.raises(InputError, match=words):
        Traced().take("good", points, node)


def test_of_many_points_the_spike_is_kept() -> None:
    """One point of 20,000 that departs: every fiftieth would have lost it."""
    points = tuple((step / 1e4, 1.0 if step == 12_345 else 0.0) for step in range(20_000))
    kept = thinned(points)
    assert len(kept) == 400
    assert (1.2345, 1.0) in kept


@settings(max_examples=60, deadline=None)
@given(st.lists(st.floats(-1, 1), min_size=3, max_size=120), st.integers(3, 60))
def test_thinned_points_are_points_of_the_file_in_order_with_both_ends(amps: list[float], most: int) -> None:
    points = tuple((float(place), value) for place, value in enumerate(amps))
    kept = thinned(points, most)
    assert len(kept) == min(most, len(points))
    assert (kept[0], kept[-1]) == (points[0], points[-1])
    assert set(kept) <= set(points)
    assert all(one[0] < other[0] for one, other in itertools.pairwise(kept))


@settings(max_examples=40, deadline=None)
@given(st.floats(0.5, 2), st.floats(0.2, 3))
def test_a_smooth_trace_thinned_to_forty_points_is_the_trace(scale: float, bend: float) -> None:
    """numpy.interp draws the straight lines between the points that were kept: 1 % of the largest is not seen."""
    volts = np.linspace(-1, 1, 2000)
    amps = scale * np.expm1(np.maximum(volts, 0) / bend)
    kept = thinned(tuple(zip(volts.tolist(), amps.tolist(), strict=True)), 40)
    drawn = np.interp(volts, [one[0] for one in kept], [one[1] for one in kept])
    assert np.max(np.abs(drawn - amps)) <= 0.01 * np.max(np.abs(amps))


@settings(max_examples=60, deadline=None)
@given(measured_travellers())
def test_whatever_was_entered_a_comparison_comes_out(traveller: Traveller) -> None:
    for node in traveller.view.unit.traces.values():
        assert compared("U000001X", node, node.taken, STATIONS.judges).says
