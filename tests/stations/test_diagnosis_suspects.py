"""Diagnosis: the odd one out, against figures published elsewhere."""

from __future__ import annotations

import math
import statistics

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from scipy import stats as scipy_stats

from stations.diagnosis.outliers import Sides
from stations.diagnosis.siblings import OddOneOut, odd_one_out
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict

HANDBOOK = (199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57)
TEN = (0.189, 0.167, 0.187, 0.183, 0.186, 0.182, 0.181, 0.184, 0.181, 0.177)


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
    found = figures(compared(*HANDBOOK))
    assert found["suspect"] == 8
    assert found["median"] == pytest.approx(201.37)
    assert found["grubbs_g"] == pytest.approx(2.46876, abs=1e-4)
    assert found["grubbs_critical"] == pytest.approx(2.1266, abs=5e-5)  # two-sided; the one-sided figure is 2.032
    assert found["modified_z"] == pytest.approx(29.9627, abs=1e-3)


def test_three_methods_disagree_on_the_same_ten_readings() -> None:
    """en.wikipedia.org/wiki/Dixon's_Q_test: r10 = .455, flagged at 90 % and not at 95 % (.412, .466); Grubbs flags
    at two-sided 5 %, the modified z flags. The tolerance is not of two minds.
    """
    found = figures(compared(*TEN, tolerance=10))
    ratio = float(found["ratio"])
    assert ratio / (ratio + 1) == pytest.approx(0.455, abs=5e-4)
    assert found["grubbs_g"] == pytest.approx(2.3705, abs=1e-4)
    assert found["grubbs_critical"] == pytest.approx(2.2900, abs=1e-4)
    assert found["modified_z"] == pytest.approx(-4.182, abs=1e-3)
    assert compared(*TEN, tolerance=8).verdict is Verdict.FAIL
    assert compared(*TEN, tolerance=9).verdict is Verdict.PASS


def test_eight_readings_asked_only_whether_one_is_too_high() -> None:
    """NIST/SEMATECH e-Handbook 1.3.5.17.1, one-sided: mean 206.43375, s 15.852564, G 2.4687, critical 2.032."""
    finding = odd_one_out(OddOneOut(readings=HANDBOOK, tolerance=5, sides="only high"))
    assert figures(finding)["grubbs_g"] == pytest.approx(2.46876, abs=1e-4)
    assert figures(finding)["grubbs_critical"] == pytest.approx(2.0317, abs=5e-5)
    assert any("206.43375 / s 15.852564" in line for line in finding.working)
    low = figures(odd_one_out(OddOneOut(readings=HANDBOOK, tolerance=5, sides="only low")))
    assert low["grubbs_g"] == pytest.approx((206.43375 - 199.31) / 15.852564, abs=1e-4)


@settings(max_examples=100)
@given(st.lists(st.floats(-100, 100), min_size=4, max_size=20))
def test_the_grubbs_ratio_as_an_independent_library_works_it(readings: list[float]) -> None:
    """scipy.stats.zscore with ddof = 1."""
    g = figures(compared(*readings))["grubbs_g"]
    if np.std(readings) < 1e-6:
        return
    assert g == pytest.approx(np.max(np.abs(scipy_stats.zscore(readings, ddof=1))), rel=1e-6)


@settings(max_examples=100)
@given(st.lists(st.integers(-100, 100), min_size=4, max_size=20))
def test_the_median_absolute_deviation_as_an_independent_library_works_it(readings: list[int]) -> None:
    """scipy.stats.median_abs_deviation; where it is zero nothing is divided."""
    found = figures(compared(*readings))
    mad = scipy_stats.median_abs_deviation(readings)
    if mad == 0:
        assert found["modified_z"] == "undefined"
    else:
        farthest = max(abs(one - np.median(readings)) for one in readings)
        if float(found["median"]) != 0:
            assert abs(float(found["modified_z"])) == pytest.approx(0.6745 * farthest / mad, rel=1e-9)


@pytest.mark.parametrize(
    ("count", "sides", "critical"),
    [
        (3, "two-sided", 1.9547),
        (4, "two-sided", 2.1631),
        (6, "two-sided", 2.4084),
        (3, "only high", 1.7375),
        (4, "only high", 1.9411),
        (6, "only high", 2.1854),
    ],
)
def test_against_the_known_sigma_of_the_meter(count: int, sides: Sides, critical: float) -> None:
    """NIST Dataplot, GRUBBS TEST (ASTM E178): z(1 − α/(2n)) √(1 − 1/n) two-sided, α/n one-sided, α = .05."""
    readings = (*(10.0,) * (count - 1), 10.3)
    found = figures(odd_one_out(OddOneOut(readings=readings, tolerance=5, sigma=0.1, sides=sides)))
    assert found["known_sigma_critical"] == pytest.approx(critical, abs=1e-4)
    assert found["known_sigma_t"] == pytest.approx(0.3 * (1 - 1 / count) / 0.1)


def test_one_of_five_modules_in_parallel_carries_half_as_much_again() -> None:
    """Infineon, Buschkühle and Messelke: five modules share 700 A, 197 A in one and 126 A in each of the others; 1.5635
    times as much."""
    finding = compared(197, 126, 126, 126, 126, tolerance=20)
    assert figures(finding)["suspect"] == 1
    assert float(figures(finding)["deviation"]) == pytest.approx(56.35, rel=2e-3)
    assert float(figures(finding)["median"]) * 4 + 197 == pytest.approx(700, rel=2e-3)


def test_with_three_no_statistic_is_claimed() -> None:
    """G saturates at 1.1547 for three readings, whatever they are."""
    assert set(figures(compared(400, 402, 230))) == {"median", "suspect", "deviation", "ratio"}


def test_equal_readings_divide_by_nothing() -> None:
    """MAD = 0 and s = 0: the scores are undefined, and the tolerance still decides."""
    equal = compared(5, 5, 5, 5)
    assert equal.verdict is Verdict.PASS
    assert (figures(equal)["grubbs_g"], figures(equal)["modified_z"]) == ("undefined", "undefined")
    odd = compared(5, 5, 5, 9)
    assert figures(odd)["modified_z"] == "undefined"
    assert figures(odd)["suspect"] == 4
    assert compared(5, 5, 5).verdict is Verdict.PASS


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


@pytest.mark.parametrize("readings", [(), (1.0,), (1.0, 2.0)])
def test_fewer_than_three_are_refused(readings: tuple[float, ...]) -> None:
    with pytest.raises(InputError, match="measure at least 3"):
        compared(*readings)


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
