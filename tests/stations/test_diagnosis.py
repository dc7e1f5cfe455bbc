"""Diagnosis: the sheet and the stored charge, against figures published elsewhere."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.diagnosis.discharge import (
    Discharge,
    DischargeFromReadings,
    discharge,
    discharge_from_readings,
    limits,
)
from stations.diagnosis.resistor import DischargeResistor, discharge_resistor
from tests.stations.findings import figures
from tests.stations.sheet import shipped
from traveller.judgement import FROM_MEMORY, Verdict
from traveller.vocabulary import HazardKind, UnitKind


def discharged(capacitance: float, resistance: float, voltage: float, safe_voltage: float = 60) -> dict[str, float]:
    finding = discharge(
        Discharge(capacitance=capacitance, resistance=resistance, voltage=voltage, safe_voltage=safe_voltage)
    )
    return {name: float(value) for name, value in figures(finding).items() if name != "charge_exempt"}


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
        (2000e-6, 100e3, 800, 8.887, 900.0),
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
    ("standard", "capacitance", "volts", "exempt"),
    [
        ("IEC 61010-1", 4.4e-6, 80, "no"),  # 352 µC: the worked case of the emc-pstc list, messages 65744 and 65766
        ("IEC 61010-1", 0.5625e-6, 80, "yes"),
        ("IEC 61010-1", 0.1e-6, 450, "yes"),
        ("IEC 61010-1", 0.101e-6, 450, "no"),
        ("IEC 61800-5-1", 0.83333e-6, 60, "yes"),
        ("IEC 61800-5-1", 0.84e-6, 60, "no"),
        ("IEC 60204-1", 1.0e-6, 60, "yes"),
        ("IEC 60204-1", 1.01e-6, 60, "no"),
    ],
)
def test_each_standard_exempts_its_own_charge(standard: str, capacitance: float, volts: float, exempt: str) -> None:
    """60 µC (IEC 60204-1 6.2.4), 50 µC (IEC 61800-5-1, from memory), 45 µC (IEC 61010-1): Q = CV, edge included."""
    given_link = {"capacitance": capacitance, "resistance": 1e3, "voltage": volts, "standard": standard}
    finding = discharge(Discharge.model_validate(given_link))
    assert figures(finding)["charge_exempt"] == exempt
    assert standard in finding.source


def test_a_figure_from_memory_says_so() -> None:
    finding = discharge(Discharge(capacitance=1e-6, resistance=1e3, voltage=60, standard="IEC 61800-5-1"))
    assert FROM_MEMORY in finding.source


@pytest.mark.parametrize(("volts", "capacitance"), [(100, 2000e-6), (325, 189.35e-6), (565, 62.652e-6)])
def test_capacitance_that_holds_ten_joules(volts: float, capacitance: float) -> None:
    """E = ½CV² turned round for the threshold of the LBNL hazard classes."""
    assert discharged(capacitance, 1e3, volts)["energy_j"] == pytest.approx(10, rel=1e-4)


def test_the_energy_of_a_small_capacitor_at_high_voltage() -> None:
    """IEC 60335-1 protective impedance: 350 mJ above 15 kV; 3.111 nF by E = ½CV²."""
    assert discharged(3.111e-9, 1e6, 15e3)["energy_j"] == pytest.approx(0.350, rel=1e-3)


@pytest.mark.parametrize(("taus", "percent"), [(1, 13.53), (3, 0.2479), (5, 0.00454)])
def test_energy_left_after_time_constants(taus: float, percent: float) -> None:
    """Any table of RC decay: energy goes with the square of the volts."""
    left = discharged(1e-3, 1e3, 100 * math.exp(-taus))["energy_j"] / discharged(1e-3, 1e3, 100)["energy_j"]
    assert 100 * left == pytest.approx(percent, rel=1e-3)


@pytest.mark.parametrize(
    ("capacitance", "voltage", "safe", "seconds", "ohms", "watts", "joules"),
    [
        (195e-6, 1500, 320, 20, 66388.86, 33.891, 219.375),  # TT Electronics design tool 4, scribd 347454186
        (195e-6, 1500, 320, 0.015062769, 50, 45000, 219.375),
        (600e-6, 450, 60, 2, 1654.34, 122.41, 60.75),  # electronicsforu.com/?p=192164, active discharge
        (1000e-6, 325, 60, 1, 591.90, 178.45, 52.8125),  # the plug's one second of IEC 60204-1 6.2.4
    ],
)
def test_the_resistor_for_a_wanted_time(
    capacitance: float, voltage: float, safe: float, seconds: float, ohms: float, watts: float, joules: float
) -> None:
    found = figures(
        discharge_resistor(
            DischargeResistor(capacitance=capacitance, voltage=voltage, seconds=seconds, safe_voltage=safe)
        )
    )
    assert found["resistance_ohm"] == pytest.approx(ohms, rel=1e-4)
    assert found["peak_power_w"] == pytest.approx(watts, rel=1e-4)
    assert found["energy_j"] == pytest.approx(joules, rel=1e-4)


def test_its_first_current() -> None:
    """325 V through 591.90 Ω (Ohm)."""
    found = figures(discharge_resistor(DischargeResistor(capacitance=1e-3, voltage=325, seconds=1)))
    assert found["peak_current_a"] == pytest.approx(0.54908, rel=1e-4)


@pytest.mark.parametrize("voltage", [0, 24, 60])
def test_what_is_safe_already_needs_no_resistor(voltage: float) -> None:
    finding = discharge_resistor(DischargeResistor(capacitance=1e-3, voltage=voltage, seconds=5))
    assert [figure.name for figure in finding.values] == ["energy_j"]
    assert "no resistor" in finding.says
    assert "never a proof" in finding.caution


@settings(max_examples=200)
@given(st.floats(1e-9, 10), st.floats(61, 1e4), st.floats(0.01, 1e4))
def test_the_resistor_and_the_time_belong_together(capacitance: float, voltage: float, seconds: float) -> None:
    """Put back into v(t) = V0 e^(-t/RC) it gives the time that was asked for."""
    link = DischargeResistor(capacitance=capacitance, voltage=voltage, seconds=seconds)
    ohms = float(figures(discharge_resistor(link))["resistance_ohm"])
    if ohms <= 1e12:
        assert discharged(capacitance, ohms, voltage)["time_s"] == pytest.approx(seconds, rel=1e-9)


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
    assert limits().usual.voltage == Discharge.model_fields["safe_voltage"].default == 60
    assert "IEC 60204-1 6.2.4" in limits().usual.source


@pytest.mark.parametrize("field", ["capacitance", "resistance", "safe_voltage"])
@pytest.mark.parametrize("value", [0, -1, math.nan, math.inf])
def test_impossible_parts_are_refused(field: str, value: float) -> None:
    possible = {"capacitance": 1e-3, "resistance": 1e3, "voltage": 600.0, "safe_voltage": 60.0}
    with pytest.raises(ValidationError):
        Discharge.model_validate({**possible, field: value})


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
