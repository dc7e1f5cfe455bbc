"""Diagnosis: the odd one out and the clean runs, against figures published elsewhere."""

from __future__ import annotations

import math
import statistics

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.diagnosis.intermittent import Intermittent, RunsNeeded, intermittent, runs_needed
from stations.diagnosis.siblings import OddOneOut, odd_one_out
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict


def compared(*readings: float, tolerance: float = 5) -> Finding:
    return odd_one_out(OddOneOut(readings=readings, tolerance=tolerance))


# --- the odd one out


@pytest.mark.parametrize(
    ("readings", "dixon"), [((400, 402, 230), 0.9884), ((10.0, 10.1, 12.0), 0.950), ((5.00, 5.00, 5.01), 1)]
)
def test_the_ratio_is_all_that_three_readings_hold(readings: tuple[float, ...], dixon: float) -> None:
    """Dixon's r10 is k / (k + 1) of this ratio k at n = 3 (en.wikipedia.org/wiki/Dixon's_Q_test): gap over
    range.
    """
    ratio = float(figures(compared(*readings))["ratio"])
    r10 = 1.0 if math.isinf(ratio) else ratio / (ratio + 1)
    assert r10 == pytest.approx(dixon, abs=5e-4)


def test_a_last_digit_is_no_suspect() -> None:
    """5.00 5.00 5.01: Grubbs G = 1.1547 and r10 = 1 call it an outlier at any level; a stated tolerance
    does not.
    """
    finding = compared(5.00, 5.00, 5.01)
    assert finding.verdict is Verdict.PASS
    assert figures(finding)["suspect"] == "none"
    assert figures(finding)["deviation"] == pytest.approx(0.2)
    assert math.isinf(float(figures(finding)["ratio"]))


def test_one_winding_of_three() -> None:
    """400 402 230: Grubbs G = 1.1546 is flagged at 5 % and not at 1 % two-sided; the tolerance is not of
    two minds.
    """
    finding = compared(400, 402, 230)
    assert finding.verdict is Verdict.FAIL
    assert figures(finding) == {
        "median": 400,
        "suspect": 3,
        "deviation": pytest.approx(42.5),
        "ratio": pytest.approx(85),
    }


def test_the_tolerance_decides_and_stands_in_the_finding() -> None:
    """10.0 10.1 12.0: r10 = .950 flags at 90 % only, the modified z of 12.8 flags: methods disagree at n =
    3.
    """
    assert compared(10.0, 10.1, 12.0, tolerance=20).verdict is Verdict.PASS
    finding = compared(10.0, 10.1, 12.0, tolerance=10)
    assert figures(finding)["suspect"] == 3
    assert "10 %" in finding.limit
    assert any("not how likely" in line for line in finding.working)


def test_eight_readings_of_the_statistics_handbook() -> None:
    """NIST/SEMATECH e-Handbook 1.3.5.17.1: 245.57 is the outlier of these; median 201.37."""
    readings = (199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57)
    found = figures(compared(*readings))
    assert found["suspect"] == 8
    assert found["median"] == pytest.approx(201.37)


def test_three_that_all_differ_name_nobody() -> None:
    finding = compared(100, 200, 300)
    assert finding.verdict is Verdict.FAIL
    assert figures(finding)["suspect"] == "none"
    assert "which of them is right" in finding.says


def test_exactly_the_tolerance_passes() -> None:
    assert compared(100, 100, 105).verdict is Verdict.PASS
    assert compared(100, 100, 105.01).verdict is Verdict.FAIL
    assert compared(5.00, 5.00, 5.01, tolerance=0.2).verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("readings", "suspect"),
    [
        ((0.45, math.inf, 0.44), 2),
        ((math.inf, math.inf, 0.44), 3),
        ((math.inf, math.inf, math.inf), "none"),
        ((math.inf, math.inf, 0.4, 0.4), "none"),
    ],
)
def test_overrange_counts_as_a_reading(readings: tuple[float, ...], suspect: float | str) -> None:
    """One thyristor of three that blocks, or one that does not, is the odd one."""
    assert figures(compared(*readings))["suspect"] == suspect


def test_a_median_of_zero_is_left_to_the_eye() -> None:
    assert compared(0, 0, 0.1).verdict is Verdict.UNDECIDED
    assert compared(0, 0, 0).verdict is Verdict.PASS


def test_two_siblings_are_refused() -> None:
    with pytest.raises(InputError, match="measure at least 3"):
        compared(1, 2)


@pytest.mark.parametrize("reading", [math.nan, -math.inf])
def test_no_meter_shows_this(reading: float) -> None:
    with pytest.raises(ValidationError):
        compared(1, 1, reading)


def test_a_slip_of_the_keyboard_is_refused() -> None:
    with pytest.raises(InputError, match="write OL"):
        compared(1, 1, 1e30)


@settings(max_examples=300)
@given(st.lists(st.floats(-1e12, 1e12) | st.just(math.inf), min_size=3, max_size=12), st.floats(0.001, 1000))
def test_any_readings_are_judged_and_a_named_suspect_departs(readings: list[float], tolerance: float) -> None:
    finding = compared(*readings, tolerance=tolerance)
    found = figures(finding)
    assert found["median"] == statistics.median(readings)
    if found["suspect"] != "none":
        assert float(found["deviation"]) > tolerance
        assert finding.verdict is not Verdict.PASS
        others = [value for place, value in enumerate(readings, 1) if place != found["suspect"]]
        assert readings[int(float(found["suspect"])) - 1] not in (min(others), max(others))


@settings(max_examples=200)
@given(st.lists(st.floats(1, 100), min_size=3, max_size=6), st.floats(1, 50), st.data())
def test_the_order_of_the_probes_does_not_matter(readings: list[float], tolerance: float, data: st.DataObject) -> None:
    shuffled = data.draw(st.permutations(readings))
    one, other = compared(*readings, tolerance=tolerance), compared(*shuffled, tolerance=tolerance)
    assert one.verdict is other.verdict
    assert figures(one)["deviation"] == figures(other)["deviation"]


# --- clean runs


def runs(reliability: float, confidence: float) -> float:
    return float(figures(runs_needed(RunsNeeded(reliability=reliability, confidence=confidence)))["runs"])


@pytest.mark.parametrize(
    ("confidence", "reliability", "needed"),
    [
        (90, 90, 22),  # qualitydigest.com/print/27832
        (99, 95, 90),  # westpak.com, sample size for attributes when c is zero
        (95, 99, 299),  # harishsnotebook.com, sample size
        (95, 95, 59),  # n = ln(1 - C) / ln R, rounded up; so the rest of the grid
        (95, 90, 29),
    ],
)
def test_clean_runs_as_published(confidence: float, reliability: float, needed: int) -> None:
    assert runs(reliability, confidence) == needed


GRID = {
    80: (3, 8, 16, 32, 53, 80, 161, 1609),
    90: (4, 11, 22, 45, 76, 114, 230, 2302),
    95: (5, 14, 29, 59, 99, 149, 299, 2995),
    99: (7, 21, 44, 90, 152, 228, 459, 4603),
}


@pytest.mark.parametrize("confidence", GRID)
def test_the_grid_of_clean_runs(confidence: int) -> None:
    """n = ln(1 - C) / ln R rounded up, the classical form without a prior (as westpak.com works it)."""
    reliabilities = (50, 80, 90, 95, 97, 98, 99, 99.9)
    assert tuple(runs(reliability, confidence) for reliability in reliabilities) == GRID[confidence]


@pytest.mark.parametrize(
    ("reliability", "confidence", "needed"), [(50, 50, 1), (50, 75, 2), (50, 87.5, 3), (10, 99, 2)]
)
def test_whole_quotients_are_not_rounded_up_once_more(reliability: float, confidence: float, needed: int) -> None:
    """R^n = 1 - C exactly: 0.5^3 = 0.125, 0.1^2 = 0.01; the quotient of logarithms may land a hair above."""
    assert runs(reliability, confidence) == needed


@settings(max_examples=200)
@given(st.integers(10, 999), st.integers(10, 999))
def test_the_runs_are_enough_and_one_less_is_not(reliability: int, confidence: int) -> None:
    """In whole numbers: R and C in tenths of a percent."""
    needed = int(runs(reliability / 10, confidence / 10))
    assert reliability**needed <= (1000 - confidence) * 1000 ** (needed - 1)
    assert needed == 1 or reliability ** (needed - 1) > (1000 - confidence) * 1000 ** (needed - 2)


@pytest.mark.parametrize("percent", [0, 100, 0.95, math.nan])
def test_a_share_is_given_in_percent_and_never_all(percent: float) -> None:
    with pytest.raises(ValidationError):
        RunsNeeded(reliability=percent, confidence=95)


# --- runs with and without failures


def bounds(failures: int, runs_made: int, confidence: float, sides: str = "two-sided") -> list[float]:
    given_runs = Intermittent.model_validate(
        {"runs": runs_made, "failures": failures, "confidence": confidence, "sides": sides}
    )
    found = figures(intermittent(given_runs))
    return [float(found["lower"]) / 100, float(found["upper"]) / 100]


@pytest.mark.parametrize(
    ("failures", "made", "confidence", "lower", "upper"),
    [
        (3, 20, 95, 0.0321, 0.3789),
        (12, 30, 90, 0.2495, 0.5661),
        (42, 100, 95, 0.3220, 0.5229),
        (85, 120, 99, 0.5904, 0.8092),
    ],
)
def test_exact_bounds_as_published(failures: int, made: int, confidence: float, lower: float, upper: float) -> None:
    """codingace.net/statistics/clopper_pearson_interval.html"""
    assert bounds(failures, made, confidence) == pytest.approx([lower, upper], abs=5e-5)


def test_a_lower_bound_to_many_digits() -> None:
    """scipy, example of binomtest: 3 of 15, 95 %, one-sided: lower .05684686759024681."""
    assert bounds(3, 15, 95, "one-sided")[0] == pytest.approx(0.05684686759024681, rel=1e-9)


@pytest.mark.parametrize(
    ("made", "sides", "upper"),
    [
        (1500, "one-sided", 0.0019952),  # rule of three: findatwiki.com/Rule_of_three_(statistics)
        (300, "one-sided", 0.0099361),
        (30, "one-sided", 0.09503),
        (30, "two-sided", 0.115703),  # rdrr.io, GenBinomApps clopper.pearson.ci: not the one-sided figure
    ],
)
def test_no_failure_still_allows_some(made: int, sides: str, upper: float) -> None:
    """1 - α^(1/n), and α/2 for two sides."""
    assert bounds(0, made, 95, sides) == pytest.approx([0, upper], rel=1e-4)


def test_one_failure_in_thirty_is_not_less_than_five_percent() -> None:
    """Clopper and Pearson, 95 % two-sided: .000844 to .172169."""
    assert bounds(1, 30, 95) == pytest.approx([0.000844, 0.172169], rel=1e-3)


def test_twice_in_four_hundred_is_a_fault() -> None:
    finding = intermittent(Intermittent(runs=400, failures=2))
    assert finding.verdict is Verdict.FAIL
    assert "the fault is there" in finding.says


@pytest.mark.parametrize(("clean", "verdict"), [(298, Verdict.UNDECIDED), (299, Verdict.PASS)])
def test_the_clean_runs_needed_are_those_that_pass(clean: int, verdict: Verdict) -> None:
    """harishsnotebook.com: 299 clean runs show 99 % at 95 %."""
    assert intermittent(Intermittent(runs=clean, failures=0, reliability=99, confidence=95)).verdict is verdict


def test_more_failures_than_runs_are_refused() -> None:
    with pytest.raises(InputError, match="correct one"):
        intermittent(Intermittent(runs=3, failures=4))


@settings(max_examples=100, deadline=None)
@given(st.integers(1, 400), st.floats(0, 1), st.floats(50, 99.9), st.sampled_from(("one-sided", "two-sided")))
def test_the_bounds_hold_the_share(made: int, share: float, confidence: float, sides: str) -> None:
    failures = round(share * made)
    lower, upper = bounds(failures, made, confidence, sides)
    assert 0 <= lower <= failures / made <= upper <= 1
