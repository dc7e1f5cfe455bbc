"""Load test: overload cycles, against makers' published ones."""

from __future__ import annotations

import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.load_test.overload import Overload, limits, overload
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict

RMS = "rms of the cycle, for a motor"


def cycle(segments: str, rule: str = "mean of the cycle, 150 % 60 s or 200 % 3 s") -> Finding:
    return overload(Overload.model_validate({"segments": segments, "rule": rule}))


@pytest.mark.parametrize(
    ("segments", "mean", "rms"), [("200x3, 75x12", 100, 111.803), ("150x60, 75x120", 100, 106.066)]
)
def test_cycles_that_a_maker_allows_pass_though_their_rms_is_above_rated(
    segments: str, mean: float, rms: float
) -> None:
    """Lenze i550 manual p. 31. A gate by rms would refuse both."""
    finding = cycle(segments)
    found = figures(finding)
    assert finding.verdict is Verdict.PASS
    assert "mean" in finding.says
    assert float(found["mean"]) == pytest.approx(mean, abs=1e-3)
    assert float(found["rms"]) == pytest.approx(rms, abs=1e-3)
    assert cycle(segments, RMS).verdict is Verdict.FAIL
    assert "rms" in cycle(segments, RMS).says


def test_levels_in_times_rated_give_figures_in_times_rated() -> None:
    found = figures(cycle("2x3 0.75x12"))
    assert float(found["mean"]) == pytest.approx(1, abs=1e-5)
    assert float(found["rms"]) == pytest.approx(1.11803, abs=1e-5)
    assert figures(cycle("200%x3, 75%x12"))["excess_s"] == pytest.approx(found["excess_s"]) == pytest.approx(9)


@pytest.mark.parametrize(
    ("segments", "longer"),
    [
        ("200x3.1, 50x12", "above 150% for 3.1 s"),
        ("150x61, 0x120", "above 100% for 61 s"),
        ("160x4, 0x120", "above 150% for 4 s"),  # between two rows: the shorter time
        ("130x40, 110x30, 0x200", "above 100% for 70 s"),  # one overload in two parts
        ("110x30, 0x200, 110x40", "above 100% for 70 s"),  # the cycle repeats
        ("201x1, 0x20", "above the 200% that are allowed at all"),
        ("400x1, 0x9", "above the 200% that are allowed at all"),  # its mean would be 40 %
        ("150x60, 76x120", "the mean is 100.7% of rated"),
    ],
)
def test_more_than_the_maker_allows_is_named(segments: str, longer: str) -> None:
    finding = cycle(segments)
    assert finding.verdict is Verdict.FAIL
    assert longer in finding.says


@pytest.mark.parametrize(
    ("rule", "level", "seconds"),
    [
        ("150 % 60 s", 150, 60),  # Parker AC30, Lite-On
        ("normal duty 110 %, from cold", 110, 165),  # Emerson Unidrive M table 2-6
        ("normal duty 110 %, from full load", 110, 9),
        ("heavy duty 200 %, from cold", 200, 28),
        ("heavy duty 200 %, from full load", 200, 3),
        ("heavy duty 175 %, from cold", 175, 42),
        ("heavy duty 175 %, from full load", 175, 5),
        ("heavy duty 150 %, open loop, from cold", 150, 60),
        ("heavy duty 150 %, open loop, from full load", 150, 7),
    ],
)
def test_the_published_overload_itself_passes(rule: str, level: float, seconds: float) -> None:
    assert cycle(f"{level}x{seconds}", rule).verdict is Verdict.PASS
    assert cycle(f"{level}x{seconds + 0.1}, 0x900", rule).verdict is Verdict.FAIL
    assert cycle(f"{level + 0.1}x{seconds}, 0x900", rule).verdict is Verdict.FAIL


@pytest.mark.parametrize(
    ("level", "base", "whole"),
    [(150, 92.796, 600), (120, 97.525, 600), (110, 98.826, 600), (150, 82.916, 300)],
)
def test_base_current_for_an_rms_of_rated(level: float, base: float, whole: float) -> None:
    """60 s of overload in a cycle of 600 or 300 s, computed from the definition of rms."""
    found = figures(cycle(f"{level}x60, {base}x{whole - 60}"))
    assert float(found["rms"]) == pytest.approx(100, abs=1e-3)


def test_rms_of_equal_steps() -> None:
    """25, 50, 75 and 100 % for equal times: 68.465 %, computed."""
    assert float(figures(cycle("25x5,50x5,75x5,100x5"))["rms"]) == pytest.approx(68.465, abs=1e-3)


@pytest.mark.parametrize(
    ("segments", "excess"), [("150x60", 75), ("125x133.3333", 75), ("110x165", 34.65), ("150x60, 75x120", 75)]
)
def test_makers_curves_are_not_one_constant_of_excess(segments: str, excess: float) -> None:
    """(k² − 1)·t: 150 % for 60 s are 75 s, the 110 % for 165 s of Unidrive M are 34.65 s."""
    assert float(figures(cycle(segments))["excess_s"]) == pytest.approx(excess, abs=1e-3)


def test_the_form_offers_exactly_the_rules_of_the_data_file() -> None:
    assert get_args(Overload.model_fields["rule"].annotation) == tuple(rule.name for rule in limits().rule)


@pytest.mark.parametrize(
    "text",
    ["150", "150x", "x60", "62,5x60", "150x60,5", "150x-1", "150x0", "150x60x3", "1e5x3", "nanx3", ",;,", "..x1"],
)
def test_what_cannot_be_read_is_refused_in_words(text: str) -> None:
    with pytest.raises(InputError, match=r"150x60|cannot be"):
        cycle(text)


@settings(max_examples=200)
@given(st.lists(st.tuples(st.floats(0, 4), st.floats(0.01, 900)), min_size=1, max_size=12))
def test_the_mean_is_never_above_the_rms_and_a_turned_cycle_is_judged_alike(pairs: list[tuple[float, float]]) -> None:
    """Jensen; and a cycle has no beginning."""
    written = [f"{level:.6f}x{seconds:.6f}" for level, seconds in pairs]
    finding = cycle(", ".join(written))
    found = figures(finding)
    assert float(found["mean"]) <= float(found["rms"]) * (1 + 1e-9) + 1e-12
    turned = cycle(", ".join(written[1:] + written[:1]))
    assert math.isclose(float(figures(turned)["rms"]), float(found["rms"]), rel_tol=1e-9, abs_tol=1e-12)
    assert turned.verdict == finding.verdict
