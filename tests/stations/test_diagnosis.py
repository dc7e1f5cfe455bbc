"""Diagnosis: the sheet, the stored charge and the diode test, against figures published elsewhere."""

from __future__ import annotations

import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.diagnosis.diodes import DiodeCheck, diode_check, rules
from stations.diagnosis.discharge import (
    Discharge,
    DischargeFromReadings,
    discharge,
    discharge_from_readings,
    limits,
)
from tests.stations.findings import figures
from tests.stations.sheet import shipped
from traveller.judgement import Verdict
from traveller.sheets import HazardKind, UnitKind


def discharged(capacitance: float, resistance: float, voltage: float, safe_voltage: float = 60) -> dict[str, float]:
    finding = discharge(
        Discharge(capacitance=capacitance, resistance=resistance, voltage=voltage, safe_voltage=safe_voltage)
    )
    return {name: float(value) for name, value in figures(finding).items()}


# --- the sheet


@pytest.mark.parametrize("kind", UnitKind)
def test_every_kind_of_unit_is_asked_between_eight_and_sixteen_things(kind: UnitKind) -> None:
    assert 8 <= sum(kind in check.applies_to for check in shipped("diagnosis").checks) <= 16


def test_only_a_reading_clears_the_stored_charge() -> None:
    """An estimate is never a proof: nothing that is worked out may clear the hazard."""
    clearing = [c for c in shipped("diagnosis").checks if c.clears is HazardKind.STORED_CHARGE]
    assert [(check.key, check.kind.value) for check in clearing] == [("dc_link_dead", "reading")]


def test_the_insulation_test_warns_that_it_is_not_for_the_drive() -> None:
    """ABB ACS880-M04 and ACS480 manuals: no insulation test on any part of the drive."""
    check = next(check for check in shipped("diagnosis").checks if check.instrument == "insulation tester")
    assert "Never on the drive" in check.help


# --- discharge from the parts


def test_a_switched_discharge_resistor() -> None:
    """TT Electronics design tool 4, scribd.com/document/347454186: 195 µF, 1500 V to 320 V, 50 Ω."""
    found = discharged(195e-6, 50, 1500, 320)
    assert found["tau_s"] == pytest.approx(0.00975, rel=1e-6)
    assert found["time_s"] == pytest.approx(0.015062769, rel=1e-6)
    assert found["energy_j"] == pytest.approx(219.375, rel=1e-6)


@pytest.mark.parametrize(
    ("capacitance", "resistance", "voltage", "safe", "seconds"),
    [
        (300e-6, 150e3, 600, 50, 111.821),  # amk-motion.com, calculation example of a discharging circuit
        (100e-6, 10e3, 12, 1, 2.4849),  # theprimecalculator.com prints 2.485 s
        (2000e-6, 100e3, 800, 60, 518.05),  # inputs of infoneva.com on safe discharge time, v = V0 e^(-t/RC)
        (2000e-6, 100e3, 800, 50, 554.52),
        (600e-6, 1654.34, 450, 60, 2.0),  # electronicsforu.com, active discharge within 2 s
        (1000e-6, 591.90, 325, 60, 1.0),  # the plug's one second of IEC 60204-1 6.2.4
        (195e-6, 66388.86, 1500, 320, 20.0),  # the tool of TT Electronics turned round: R for 20 s
        (2350e-6, 47e3, 650, 42.983, 300.0),
        (300e-6, 150e3, 600, 0.7636, 300.0),  # the same page of amk-motion.com: "1 V" after 300 s, rounded up
    ],
)
def test_seconds_to_a_safe_voltage(
    capacitance: float, resistance: float, voltage: float, safe: float, seconds: float
) -> None:
    assert discharged(capacitance, resistance, voltage, safe)["time_s"] == pytest.approx(seconds, rel=1e-4)


@pytest.mark.parametrize(("taus", "percent"), [(1, 36.79), (3, 4.979), (5, 0.6738)])
def test_time_constants(taus: float, percent: float) -> None:
    """Any table of RC decay."""
    assert discharged(1e-3, 1e3, 100, percent)["time_s"] == pytest.approx(taus, rel=1e-3)


@pytest.mark.parametrize(
    ("capacitance", "volts", "charge"), [(1e-6, 60, 60e-6), (4.4e-6, 80, 352e-6), (0.5625e-6, 80, 45e-6)]
)
def test_stored_charge(capacitance: float, volts: float, charge: float) -> None:
    """Q = CV; 352 µC is the worked case of the emc-pstc list, messages 65744 and 65766."""
    assert discharged(capacitance, 1e3, volts)["charge_c"] == pytest.approx(charge, rel=1e-6)


@pytest.mark.parametrize(
    ("capacitance", "volts", "kills"), [(2000.1e-6, 100, True), (1999e-6, 100, False), (189.36e-6, 325, True)]
)
def test_ten_joules_at_a_hundred_volts_can_kill(capacitance: float, volts: float, kills: bool) -> None:
    """LBNL electrical safety, capacitor hazards: shock from 100 V and 10 J."""
    finding = discharge(Discharge(capacitance=capacitance, resistance=1e3, voltage=volts))
    assert ("can kill by shock" in finding.caution) is kills


def test_below_the_safe_voltage_there_is_nothing_to_wait_for() -> None:
    assert discharged(1e-3, 1e3, 60)["time_s"] == 0
    assert discharged(1e-3, 1e3, 0) == {"tau_s": 1.0, "time_s": 0.0, "energy_j": 0.0, "charge_c": 0.0}


def test_sixty_volts_come_from_the_data_file_with_their_clause() -> None:
    assert limits().residual.voltage == Discharge.model_fields["safe_voltage"].default == 60
    assert "IEC 60204-1 6.2.4" in limits().residual.source


@pytest.mark.parametrize("field", ["capacitance", "resistance", "safe_voltage"])
@pytest.mark.parametrize("value", [0, -1, math.nan, math.inf])
def test_impossible_parts_are_refused(field: str, value: float) -> None:
    possible = {"capacitance": 1e-3, "resistance": 1e3, "voltage": 600.0, "safe_voltage": 60.0}
    with pytest.raises(ValidationError):
        Discharge(**{**possible, field: value})


@settings(max_examples=200)
@given(st.floats(1e-9, 1000), st.floats(1e-3, 1e12), st.floats(0, 1e6), st.floats(0.001, 1000), st.floats(0, 1))
def test_more_volts_never_take_less_time(c: float, r: float, volts: float, safe: float, share: float) -> None:
    assert 0 <= discharged(c, r, volts * share, safe)["time_s"] <= discharged(c, r, volts, safe)["time_s"]


# --- discharge from two readings


@settings(max_examples=200)
@given(st.floats(1e-6, 0.1), st.floats(10, 1e6), st.floats(100, 1500), st.floats(0.1, 3))
def test_two_readings_give_back_the_time_constant(c: float, r: float, volts: float, taus: float) -> None:
    """v(t) = V0 e^(-t/RC), read twice."""
    second = volts * math.exp(-taus)
    found = figures(
        discharge_from_readings(DischargeFromReadings(first=volts, second=second, seconds_between=taus * r * c))
    )
    assert float(found["tau_s"]) == pytest.approx(r * c, rel=1e-6)
    assert float(found["time_s"]) == pytest.approx(discharged(c, r, second)["time_s"], rel=1e-6, abs=1e-9)


def test_readings_of_a_published_link() -> None:
    """2000 µF and 100 kΩ from 800 V: 178.504 V after 300 s, 39.830 V after 600 s (infoneva.com inputs)."""
    given_readings = DischargeFromReadings(first=800, second=178.504, seconds_between=300, safe_voltage=39.830)
    found = figures(discharge_from_readings(given_readings))
    assert found["tau_s"] == pytest.approx(200, rel=1e-4)
    assert found["time_s"] == pytest.approx(300, rel=1e-4)


@pytest.mark.parametrize("second", [400.0, 401.0])
def test_volts_that_do_not_fall_fail(second: float) -> None:
    finding = discharge_from_readings(DischargeFromReadings(first=400, second=second, seconds_between=60))
    assert finding.verdict is Verdict.FAIL
    assert "feeds the link" in finding.says
    assert finding.values == ()


@pytest.mark.parametrize(("first", "second"), [(30, 30), (500, 0), (0, 0), (500, 60)])
def test_a_safe_second_reading_needs_no_wait(first: float, second: float) -> None:
    finding = discharge_from_readings(DischargeFromReadings(first=first, second=second, seconds_between=60))
    assert finding.verdict is Verdict.PASS
    assert figures(finding)["time_s"] == 0


@settings(max_examples=200)
@given(st.floats(0, 1e6), st.floats(0, 1e6), st.floats(1e-6, 1e6))
def test_any_two_readings_are_judged(first: float, second: float, seconds: float) -> None:
    finding = discharge_from_readings(DischargeFromReadings(first=first, second=second, seconds_between=seconds))
    assert (finding.verdict is Verdict.FAIL) == (second >= first and second > 60)


# --- diode test


def states(rule: str, *volts: float | str, direction: str = "forward") -> str:
    finding = diode_check(DiodeCheck.model_validate({"volts": volts, "rule": rule, "direction": direction}))
    return str(figures(finding)["states"])


def test_rectifier_diode() -> None:
    """Grundfos CUE service instructions, page 20: below 0.3 V or above 0.5 V is defective."""
    assert states("rectifier diode", 0.45, 0.29, 0.51, "OL") == "good, low, high, open"


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
