"""Diagnosis: the diode test, against figures published elsewhere."""

from __future__ import annotations

import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.diagnosis.diodes import DiodeCheck, diode_check, rules
from tests.stations.findings import figures
from traveller.judgement import Verdict


def states(rule: str, *volts: float | str, direction: str = "forward") -> str:
    finding = diode_check(DiodeCheck.model_validate({"volts": volts, "rule": rule, "direction": direction}))
    return ", ".join(str(figures(finding)[f"outcome_{place}"]) for place in range(1, len(volts) + 1))


def test_rectifier_diode() -> None:
    """Grundfos CUE service instructions, page 20: below 0.3 V or above 0.5 V is defective."""
    assert states("rectifier diode", 0.45, 0.29, 0.51, "OL") == "good, low, high, open"


def test_the_whole_link_reads_up_to_two_volts() -> None:
    """Powertec 1000AR manual, page 44: DC− to DC+ 0.3 to 2.0 V, DC− to phase and phase to DC+ 0.3 to 0.7 V."""
    assert states("transistor module, whole link", 1.2) == "good"
    assert states("transistor module", 1.2) == "high"


def test_the_same_reading_fails_another_makers_rule() -> None:
    """Danfoss Turbocor M-SV-001, page 127: inverter diode 0.275 to 0.4 V, input diode 0.3 to 0.45 V."""
    assert states("inverter diode", 0.45) == "high"
    assert states("input diode or thyristor module", 0.45) == "good"


@pytest.mark.parametrize("name", rules())
def test_both_edges_of_a_rule_are_good(name: str) -> None:
    """The pages print the good range with both ends, and call what is below or above it defective."""
    low, high = rules()[name].low, rules()[name].high
    assert states(name, low, high) == "good, good"
    assert states(name, math.nextafter(low, 0), math.nextafter(high, 9)) == "low, high"


def test_in_reverse_overrange_is_what_one_wants() -> None:
    """Powertec 1000AR manual, page 44: open in reverse."""
    assert states("transistor module", "OL", math.inf, 1.2, direction="reverse") == "good, good, conducts"


def test_one_bad_device_fails_the_set_and_is_named() -> None:
    finding = diode_check(DiodeCheck(volts=(0.45, 0.44, 0.02), rule="rectifier diode"))
    assert finding.verdict is Verdict.FAIL
    assert finding.says == "reading 3 low"
    assert "Grundfos" in finding.source


def test_the_form_offers_exactly_the_rules_of_the_data_file() -> None:
    assert set(get_args(DiodeCheck.model_fields["rule"].annotation)) == set(rules())


@settings(max_examples=200)
@given(st.lists(st.floats(0, 10) | st.just(math.inf), min_size=1, max_size=12), st.sampled_from(list(rules())))
def test_passes_exactly_when_every_reading_is_good(volts: list[float], rule: str) -> None:
    finding = diode_check(DiodeCheck.model_validate({"volts": volts, "rule": rule}))
    inside = all(rules()[rule].low <= one <= rules()[rule].high for one in volts)
    assert (finding.verdict is Verdict.PASS) == inside


@pytest.mark.parametrize("volts", [(), (-0.4,), (math.nan,), ("half",)])
def test_readings_that_no_meter_shows_are_refused(volts: tuple[float | str, ...]) -> None:
    with pytest.raises(ValidationError):
        DiodeCheck.model_validate({"volts": volts, "rule": "rectifier diode"})
