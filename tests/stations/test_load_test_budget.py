"""Load test: uncertainty budgets and decision limits, against published figures and scipy."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from scipy import stats

from stations.load_test.budget import InstrumentBudget, instrument_budget, rules
from stations.load_test.uncertainty import KINDS, coverage_factor, rounded
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict


def budget(parts: str, **more: object) -> Finding:
    return instrument_budget(InstrumentBudget.model_validate({"parts": parts, **more}))


def numbers(parts: str, **more: object) -> dict[str, float]:
    return {name: float(value) for name, value in figures(budget(parts, **more)).items()}


METER = "0.0021/5:repeat 0.006:rectangular 0.001:resolution"


def test_a_meter_by_the_rules_of_the_guide() -> None:
    """s/√n, a/√3, (res/2)/√3: 0.000939, 0.003464, 0.000289, computed."""
    found = numbers(METER)
    assert found["combined"] == pytest.approx(0.003601, abs=1e-6)
    assert found["expanded"] == pytest.approx(0.0072, abs=5e-5)
    lines = budget(METER).working
    assert [line.rsplit(" = ")[-1] for line in lines[:3]] == ["0.0009391", "0.003464", "0.0002887"]


def test_the_end_gauge_of_the_guide() -> None:
    """GUM H.1 as in suncal ex_endgauge.yaml: u 32 nm; 16 degrees of freedom, t 2.92, 93 nm from memory."""
    found = numbers("25@18:normal 9.7@25.6:normal 2.9@50:normal 16.6@2:normal", confidence=0.99)
    assert round(found["combined"]) == 32
    assert found["degrees_of_freedom"] == pytest.approx(16.76, abs=5e-3)
    assert found["coverage_factor"] == pytest.approx(2.921, abs=5e-4)
    assert found["expanded"] == pytest.approx(92.5, abs=0.05)


@pytest.mark.parametrize(
    ("value", "uncertainty", "shown"),
    [
        (12.34567, 0.02345, ("12.346", "0.023")),
        (1234, 250, ("1230", "250")),
        (5, 0.0999, ("5.00", "0.10")),
        (-0.5, 12, ("0", "12")),
    ],
)
def test_rounding(value: float, uncertainty: float, shown: tuple[str, str]) -> None:
    """JCGM 100 7.2.6 as in K-Dense reporting-rules.md; the first two are its examples."""
    assert tuple(text.replace("-0", "0") if text == "-0" else text for text in rounded(value, uncertainty)) == shown


@pytest.mark.parametrize(
    ("parts", "combined"),
    [
        ("6:triangular", 6 / 6**0.5),
        ("6:arcsine", 6 / 2**0.5),
        ("6/3:certificate", 2),
        ("6:certificate", 3),
        ("6:cert", 3),
        ("0,006:rect,0,008:rect", 0.01 / 3**0.5),
        ("3:normal;4:normal", 5),
    ],
)
def test_ways_to_write_a_part(parts: str, combined: float) -> None:
    assert numbers(parts)["combined"] == pytest.approx(combined)


@pytest.mark.parametrize(
    "parts",
    ["0.006", "0.006:", ":rect", "0.006:uniform", "0.006:r", "0.006:repeat", "0.006/1:repeat", "0.006/2.5:repeat",
     "0.006/2:rectangular", "-1:normal", "0:normal", "OL:normal", "1@0:normal", "1/0.5:certificate", ",,,"],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_in_words(parts: str) -> None:
    with pytest.raises(InputError, match="repeat"):
        budget(parts)


# --- decision limits


def test_limits_of_a_gauge() -> None:
    """talalspecialbolt.com: ± 0.003 mm, U 0.001: ± 0.002; 0.0017 conforms, 0.0025 is in the grey zone."""
    more = {"at_least": -0.003, "at_most": 0.003}
    found = numbers("0.0005:normal", **more)
    assert (found["decision_at_least"], found["decision_at_most"]) == pytest.approx((-0.002, 0.002))
    assert budget("0.0005:normal", reading=0.0017, **more).verdict is Verdict.PASS
    assert budget("0.0005:normal", reading=0.0025, **more).verdict is Verdict.UNDECIDED


@pytest.mark.parametrize(
    ("reading", "verdict"),
    [
        (8.9, "pass"),
        (9.5, "undecided"),
        (10.5, "undecided"),
        (11.5, "fail"),
        (9.0, "undecided"),  # the printed intervals are closed: on every edge nothing is decided
        (10.0, "undecided"),
        (11.0, "undecided"),
    ],
)
def test_between_the_limits_nothing_is_decided(reading: float, verdict: str) -> None:
    """ILAC-G8:09/2019 4.2.3 with a limit of 10 and w = 1: conditional pass and fail are both undecided here."""
    finding = budget("0.5:normal", at_most=10, reading=reading)
    assert finding.verdict == verdict
    assert any("edge of the guard band" in line for line in finding.working)


def test_simple_acceptance_takes_the_limit_itself() -> None:
    """ILAC-G8:09/2019 4.2.1."""
    for reading, verdict in ((10, "pass"), (10.001, "fail")):
        assert budget("0.5:normal", at_most=10, reading=reading, guard="none").verdict == verdict


@pytest.mark.parametrize(
    ("half", "expanded", "ratio"),
    [(0.05, 0.0125, 4), (0.05, 0.025, 2), (4.0, 1.6, 2.5)],  # techmaster.us; harpermetrology.com
)
def test_test_uncertainty_ratio(half: float, expanded: float, ratio: float) -> None:
    assert numbers(f"{expanded / 2}:normal", at_least=-half, at_most=half)["tur"] == pytest.approx(ratio)


@pytest.mark.parametrize(
    ("guard", "share"),
    [("3 U", 9.9e-10), ("1.5 U", 0.00135), ("U", 0.02275), ("0.83 U", 0.04846), ("none", 0.5), ("1.64 u", 0.05050)],
)
def test_share_wrongly_accepted_on_the_decision_limit(guard: str, share: float) -> None:
    """Normal distribution, k = 2; the names of ILAC-G8 table 1 are from memory, 1.64 u is a little above 5 %."""
    found = numbers("1:normal", at_most=10, guard=guard)
    assert found["false_accept"] == pytest.approx(share, abs=1e-5)
    assert found["false_accept"] == pytest.approx(stats.norm.sf(10 - found["decision_at_most"]), rel=1e-6)


@pytest.mark.parametrize(
    ("u", "reading", "limit", "probability"),
    [
        (0.05, -5.47, {"at_most": -5.40}, 0.91924),
        (8.6, 509.7, {"at_least": 490}, 0.98901),
    ],
)
def test_probability_of_conformance(u: float, reading: float, limit: dict[str, float], probability: float) -> None:
    """JCGM 106 7.3.3, both examples; their inputs from memory, the figures computed."""
    found = numbers(f"{u}:normal", reading=reading, **limit)
    assert found["conformance"] == pytest.approx(probability, abs=1e-5)


@pytest.mark.parametrize(
    ("guard", "multiplier"),
    [
        ("root of 1 − 1/TUR²", 0.91652),
        ("1 − 1/TUR", 0.6),
        ("1.25 − 1/TUR", 0.85),
        ("managed 2 %", 0.91419),
    ],
)
def test_guard_bands_by_the_test_uncertainty_ratio(guard: str, multiplier: float) -> None:
    """Formulas of suncal test_risk.py at a TUR of 2.5, values computed: ± 4.00 and U 1.6 (harpermetrology.com)."""
    found = numbers("0.8:normal", at_least=-4, at_most=4, guard=guard)
    assert found["tur"] == pytest.approx(2.5)
    assert found["decision_at_most"] / 4 == pytest.approx(multiplier, abs=1e-4)
    assert found["decision_at_least"] / -4 == pytest.approx(multiplier, abs=1e-4)
    with pytest.raises(InputError, match="two limits"):
        budget("0.8:normal", at_most=4, guard=guard)


def test_a_guard_by_the_ratio_never_draws_a_limit_out() -> None:
    """1.25 − 1/TUR is above 1 from a TUR of 4 on: the limit itself is the most."""
    assert numbers("0.1:normal", at_least=-4, at_most=4, guard="1.25 − 1/TUR")["decision_at_most"] == 4


def test_a_meter_that_is_too_coarse_can_pass_nothing() -> None:
    finding = budget("1:normal", at_least=0, at_most=3, reading=1.5)
    assert finding.verdict is Verdict.FAIL
    assert "too coarse" in finding.says


def test_limits_the_wrong_way_round_are_refused() -> None:
    with pytest.raises(ValidationError, match="below the upper"):
        budget(METER, at_least=2, at_most=1)


def test_the_form_offers_exactly_the_guards_of_the_data_file() -> None:
    assert get_args(InstrumentBudget.model_fields["guard"].annotation) == tuple(one.name for one in rules().guard)


@settings(max_examples=200, deadline=None)
@given(st.floats(0.5, 0.9999), st.integers(1, 3000))
def test_coverage_factors_are_those_of_student(confidence: float, freedom: int) -> None:
    """scipy.stats.t; beyond 2000 degrees of freedom the normal distribution stands for it."""
    assert coverage_factor(confidence, freedom) == pytest.approx(stats.t.ppf(0.5 + confidence / 2, freedom), rel=2e-3)
    if freedom <= 2000:
        expected = stats.t.ppf(0.5 + confidence / 2, freedom)
        assert coverage_factor(confidence, freedom + 0.7) == pytest.approx(expected, rel=1e-6)


@settings(max_examples=200)
@given(st.lists(st.tuples(st.floats(1e-6, 1e6), st.sampled_from(sorted(set(KINDS) - {"repeat"}))), min_size=1))
def test_the_whole_is_no_less_than_its_largest_part_and_no_more_than_their_sum(parts: list[tuple[float, str]]) -> None:
    found = numbers(" ".join(f"{value!r}:{kind}" for value, kind in parts[:40]))
    alone = [numbers(f"{value!r}:{kind}")["combined"] for value, kind in parts[:40]]
    assert max(alone) * (1 - 1e-9) <= found["combined"] <= sum(alone) * (1 + 1e-9)
