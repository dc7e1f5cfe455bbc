"""Inspection: insulation resistance and polarisation index, against figures published elsewhere."""

from __future__ import annotations

import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.inspection.insulation import Insulation, insulation
from stations.inspection.insulation_limits import Correction, limits
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict


def judged(ohms: float, celsius: float, specimen: str = "random-wound motor below 1 kV", /, **more: object) -> Finding:
    plain = {"resistance": ohms, "temperature": celsius, "specimen": specimen}
    return insulation(Insulation.model_validate({**plain, "test_voltage": 500, "circuit_voltage": 400, **more}))


@pytest.mark.parametrize(
    ("megohms", "celsius", "at_40"),
    [
        (200, 20, 50.0),  # insulationtesting.com ?p=107
        (25, 50, 50.0),  # the same
        (40, 45, 56.57),  # the same page claims 50: its own law gives 56.57
        (2, 20, 0.5),  # Megger
        (3, 70, 24.0),  # electricneutron reads 21 off a graph: the law gives 24
    ],
)
def test_the_reading_is_carried_to_40_degrees(megohms: float, celsius: float, at_40: float) -> None:
    """R40 = R · 0.5^((40 − T) / 10)."""
    assert float(figures(judged(megohms * 1e6, celsius))["at_40c_ohm"]) == pytest.approx(at_40 * 1e6, abs=1e4)


@pytest.mark.parametrize(
    ("megohms", "celsius", "to", "there"),
    [
        (150, 20, 30, 75),  # UEi DMEG3 manual
        (1, 50, 20, 8),  # its table prints a factor of 5.6: its own law gives 8
    ],
)
def test_and_to_any_other_temperature(megohms: float, celsius: float, to: float, there: float) -> None:
    assert limits().carried(megohms, celsius, to, "halves every 10 K") == pytest.approx(there)


@pytest.mark.parametrize(
    ("celsius", "factor"),
    [(10, 0.65596), (20, 0.76223), (25, 0.81855), (40, 1), (60, 2.25167), (70, 3.26095), (85, 5.46702)],
)
def test_a_thermosetting_winding_is_carried_by_its_own_factor(celsius: float, factor: float) -> None:
    """IEEE 43-2013, the formula from memory: the finding says so."""
    finding = judged(100e6, celsius, correction="thermoset winding")
    assert float(figures(finding)["at_40c_ohm"]) == pytest.approx(factor * 100e6, rel=1e-4)
    assert "from memory" in finding.source


@pytest.mark.parametrize("celsius", [9.9, 85.1])
def test_which_is_not_given_outside_its_range(celsius: float) -> None:
    with pytest.raises(InputError, match="10 to 85"):
        judged(1e8, celsius, correction="thermoset winding")


@pytest.mark.parametrize(
    ("one", "ten", "index", "class_", "verdict"),
    [
        (550e6, 1375e6, 2.5, "B, F or H", "pass"),  # IEEE 43: B, F and H at least 2
        (500e6, 1000e6, 2.0, "B, F or H", "pass"),  # the edge passes
        (500e6, 999e6, 1.998, "B, F or H", "fail"),
        (500e6, 750e6, 1.5, "A", "pass"),  # class A at least 1.5
        (500e6, 750e6, 1.5, "B, F or H", "fail"),
        (100e6, 800e6, 8.0, "A", "pass"),
        (100e6, 810e6, 8.1, "A", "undecided"),  # Hioki 3455 p. 171, testguy: perhaps dry
        (5000e6, 5000e6, 1.0, "A", "fail"),
        (5001e6, 5001e6, 1.0, "A", "pass"),  # above 5000 MΩ it says nothing
    ],
)
def test_polarisation_index(one: float, ten: float, index: float, class_: str, verdict: str) -> None:
    more = {"resistance_10min": ten, "insulation_class": class_}
    finding = judged(one, 40, **more)
    assert figures(finding)["polarisation_index"] == pytest.approx(index)
    assert finding.verdict == verdict
    apart = judged(1e9, 40, resistance_1min=one, **more)
    assert apart.verdict is finding.verdict
    assert figures(apart)["polarisation_index"] == pytest.approx(index)


def test_an_index_of_readings_that_have_none_is_not_made_up() -> None:
    """Overrange over overrange, and anything over nothing."""
    over = judged(math.inf, 40, resistance_10min=math.inf)
    assert over.verdict is Verdict.PASS
    assert "polarisation_index" not in figures(over)
    short = judged(1e9, 40, resistance_1min=0, resistance_10min=1e9)
    assert short.verdict is Verdict.FAIL
    assert "polarisation_index" not in figures(short)


@pytest.mark.parametrize(("volts", "megohms"), [(460, 1.46), (4160, 5.16)])
def test_an_old_winding_needs_a_megohm_more_than_its_kilovolts(volts: float, megohms: float) -> None:
    """IEEE 43, (kV + 1) MΩ, as quoted at forum.testguy.net."""
    found = figures(judged(1e9, 40, "motor wound before 1970", circuit_voltage=volts))
    assert float(found["minimum_ohm"]) == pytest.approx(megohms * 1e6)


BY_VOLTAGE = "circuit, by its voltage"


@pytest.mark.parametrize(
    ("specimen", "circuit", "volts", "megohms"),
    [
        (BY_VOLTAGE, 24, 250, 0.5),  # IEC 60364-6, trv.banenor.no; the older 0.25 is out
        (BY_VOLTAGE, 50, 250, 0.5),
        (BY_VOLTAGE, 50.1, 500, 1.0),
        (BY_VOLTAGE, 500, 500, 1.0),
        (BY_VOLTAGE, 501, 1000, 1.0),
        (f"{BY_VOLTAGE}, older edition", 24, 250, 0.25),  # HT F3000 manual
        (f"{BY_VOLTAGE}, older edition", 230, 500, 0.5),
        (f"{BY_VOLTAGE}, older edition", 690, 1000, 1.0),
        ("power circuit to earth", 400, 500, 1.0),  # IEC 60204-1, Gossen m535c page 95
        ("brake resistor", 400, 1000, 1.0),  # ABB ACS880-M04
        ("mains unit, protection class I", 230, 500, 1.0),  # DIN VDE 0701-0702:2008, Benning, Fluke 6200
        ("mains unit, protection class II", 230, 500, 2.0),
        ("unit of protection class III", 24, 250, 0.25),
        ("mains unit with heaters, class I", 230, 500, 0.3),
    ],
)
def test_minimum_and_test_voltage(specimen: str, circuit: float, volts: float, megohms: float) -> None:
    ohms = megohms * 1e6

    def at(reading: float, test_voltage: float) -> Finding:
        return judged(reading, 20, specimen, circuit_voltage=circuit, test_voltage=test_voltage)

    assert figures(at(ohms, volts))["minimum_ohm"] == ohms
    assert at(ohms, volts).verdict is Verdict.PASS
    assert at(ohms * 0.999, volts).verdict is Verdict.FAIL
    assert at(ohms, volts - 1).verdict is Verdict.UNDECIDED


def test_an_older_edition_is_only_used_when_it_is_chosen_and_says_so() -> None:
    plain = Insulation(resistance=1e9, temperature=20, test_voltage=500, circuit_voltage=400)
    assert "older" not in insulation(plain).source
    assert "superseded" in judged(1e9, 20, f"{BY_VOLTAGE}, older edition").source


def test_a_dc_armature_and_windings_by_their_age() -> None:
    """IEEE 43 as quoted at forum.testguy.net; easa.com: the armature no longer 100 MΩ."""
    minima = [("random-wound motor below 1 kV", 5e6), ("form-wound motor since 1970", 100e6)]
    for specimen, ohms in [*minima, ("armature of a DC motor", 5e6)]:
        assert judged(ohms, 40, specimen).verdict is Verdict.PASS
        assert judged(ohms * 0.99, 40, specimen).verdict is Verdict.FAIL


def test_a_motor_that_passes_cold_may_fail_at_its_temperature() -> None:
    """The drive maker's 100 MΩ hold at 25 °C (ABB ACS880-M04): 100 MΩ at 15 °C are 50 there."""
    name = "motor and cable, as a drive maker asks"
    assert judged(100e6, 25, name, test_voltage=1000).verdict is Verdict.PASS
    assert judged(100e6, 15, name, test_voltage=1000).verdict is Verdict.FAIL


def test_overrange_is_good_insulation() -> None:
    assert judged(math.inf, 20).verdict is Verdict.PASS


def test_the_unit_itself_only_by_its_service_manual() -> None:
    """ABB ACS480 manual page 70: no insulation test on any part of the drive."""
    with pytest.raises(InputError, match="do not measure insulation on the unit"):
        judged(1e9, 20, "unit, by its own service manual")
    finding = judged(2e6, 20, "unit, by its own service manual", manual_minimum=2e6)
    assert finding.verdict is Verdict.PASS
    assert "makers forbid it" in finding.caution


def test_the_form_offers_exactly_the_rules_of_the_data_file() -> None:
    assert get_args(Insulation.model_fields["specimen"].annotation) == tuple(r.name for r in limits().rule)
    assert get_args(Insulation.model_fields["insulation_class"].annotation) == tuple(limits().polarisation.least)
    assert get_args(Correction) == (f"halves every {limits().halving.kelvin:g} K", "thermoset winding")


@settings(max_examples=200)
@given(st.floats(0, 1e12), st.floats(-40, 200), st.sampled_from([r.name for r in limits().rule]))
def test_more_ohms_never_judge_worse(ohms: float, celsius: float, specimen: str) -> None:
    more = {"circuit_voltage": 400, "manual_minimum": 1e6, "test_voltage": 1000}
    if judged(ohms, celsius, specimen, **more).verdict is Verdict.PASS:
        assert judged(2 * ohms, celsius, specimen, **more).verdict is Verdict.PASS


@pytest.mark.parametrize("ohms", [-1, math.nan])
def test_impossible_resistance_is_refused(ohms: float) -> None:
    with pytest.raises(ValidationError):
        judged(ohms, 20)
    with pytest.raises(ValidationError):
        judged(1e9, 20, resistance_10min=ohms)


def test_a_part_colder_than_anything_is_refused() -> None:
    with pytest.raises(ValidationError):
        judged(1e9, -274)
