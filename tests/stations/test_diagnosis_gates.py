"""Diagnosis: gate resistance, against figures published elsewhere."""

from __future__ import annotations

import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.diagnosis.gates import GateResistance, gate_resistance, rules
from tests.stations.findings import figures
from tests.stations.sheet import shipped
from traveller.judgement import Finding, Verdict

TRANSISTOR, MODULE = "transistor with its gate resistor", "intelligent power module"


def measured(rule: str, *ohms: float, parallel: int = 1) -> Finding:
    return gate_resistance(GateResistance.model_validate({"readings": ohms, "rule": rule, "parallel": parallel}))


def outcome(finding: Finding, place: int) -> float | str:
    return figures(finding)[f"outcome_{place}"]


@pytest.mark.parametrize(("ohms", "verdict"), [(480, Verdict.PASS), (100, Verdict.PASS), (90, Verdict.FAIL)])
def test_two_modules_in_parallel_read_half_of_the_fitted_resistor(ohms: float, verdict: Verdict) -> None:
    """ESAB DTG 405 p. 50: 1 kΩ fitted, 500 Ω with two modules in parallel, below 100 Ω failed."""
    finding = measured(TRANSISTOR, ohms, parallel=2)
    assert figures(finding)["expected_ohm"] == 500
    assert finding.verdict is verdict
    assert figures(measured(TRANSISTOR, 990))["expected_ohm"] == 1000


def test_the_check_of_the_driver_stages_takes_the_same_figure() -> None:
    """The same page: component work measures it again after a power module."""
    check = next(check for check in shipped("component_work").checks if check.key == "driver_stages")
    assert check.limit is not None
    assert check.limit.at_least == next(one.low for one in rules().rule if one.name == TRANSISTOR) == 100


@pytest.mark.parametrize(
    ("ohms", "state"),
    [(85, "unlike the others"), (19, "unlike the others"), (21, "good"), (79, "good"), (80, "good"), (20, "good")],
)
def test_neither_twice_nor_half_of_its_neighbours(ohms: float, state: str) -> None:
    """Mitsubishi City Multi p. 81: not above twice or below half of its neighbours, here 40 Ω; the edges are good."""
    finding = measured(MODULE, 40, 40, ohms)
    assert outcome(finding, 3) == state
    assert (outcome(finding, 1), outcome(finding, 2)) == ("good", "good")
    assert (finding.verdict is Verdict.PASS) == (state == "good")


@pytest.mark.parametrize(("ohms", "state"), [(4.9, "low"), (5, "good"), (200, "good"), (201, "high")])
def test_a_power_module_reads_five_to_two_hundred_ohms(ohms: float, state: str) -> None:
    """The same page."""
    assert outcome(measured(MODULE, ohms, ohms), 1) == state


@pytest.mark.parametrize(
    ("rule", "low", "high"),
    [
        ("thyristor, 10 to 50 Ω", 10, 50),  # Siemens 3RW34
        ("thyristor, 8 to 20 Ω", 8, 20),  # Carrier starter p. 242
        ("thyristor, 1 to 25 Ω", 1, 25),  # Danfoss Turbocor M-SV-001 p. 127
    ],
)
def test_thyristors_by_their_make(rule: str, low: float, high: float) -> None:
    assert measured(rule, low, low).verdict is measured(rule, high, high).verdict is Verdict.PASS
    assert outcome(measured(rule, math.nextafter(low, 0)), 1) == "low"
    assert outcome(measured(rule, math.nextafter(high, 99)), 1) == "high"


def test_without_a_figure_the_siblings_decide() -> None:
    finding = measured("thyristor, all alike", 21, 22, 5, 21, 22, 21)
    assert finding.verdict is Verdict.FAIL
    assert finding.says == "reading 3 unlike the others"


def test_one_shorted_module_of_a_pair_takes_the_pair_with_it() -> None:
    """Yaskawa GPD 506/P5 troubleshooting p. 36: in parallel on one leg, both replaced, one gain code, if one only is
    shorted."""
    finding = measured(TRANSISTOR, 500, 1, 490, parallel=2)
    assert figures(finding)["replace_together"] == 2
    assert "replace all 2 modules of that leg, same gain code" in finding.says
    assert "Yaskawa" in finding.source
    assert "replace_together" not in figures(measured(TRANSISTOR, 500, 495, 490, parallel=2))
    assert "Same gain code" in next(one.help for one in shipped("component_work").checks if one.key == "whole_sets")


def test_an_open_gate_fails_by_every_rule() -> None:
    for rule in rules().rule:
        assert outcome(measured(rule.name, 20, math.inf, 20), 2) == "open"


def test_the_form_offers_exactly_the_rules_of_the_data_file() -> None:
    assert get_args(GateResistance.model_fields["rule"].annotation) == tuple(one.name for one in rules().rule)


@settings(max_examples=200)
@given(
    st.lists(st.floats(0, 1e4) | st.just(math.inf), min_size=1, max_size=12),
    st.sampled_from([one.name for one in rules().rule]),
    st.data(),
)
def test_the_order_of_the_probes_does_not_matter(ohms: list[float], rule: str, data: st.DataObject) -> None:
    shuffled = data.draw(st.permutations(ohms))
    one, other = measured(rule, *ohms), measured(rule, *shuffled)
    assert one.verdict is other.verdict
    assert figures(one)["bad"] == figures(other)["bad"]


@pytest.mark.parametrize("ohms", [(), (-1.0,), (math.nan,)])
def test_readings_that_no_meter_shows_are_refused(ohms: tuple[float, ...]) -> None:
    with pytest.raises(ValidationError):
        measured("thyristor, all alike", *ohms)
