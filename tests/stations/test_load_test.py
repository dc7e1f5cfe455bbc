"""Load test: the sheet, and the judges of power and speed."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.load_test.power import Power, power
from stations.load_test.speed import SpeedRegulation, speed_regulation
from tests.stations.findings import figures
from tests.stations.sheet import shipped
from traveller.judgement import Verdict
from traveller.vocabulary import HazardKind, UnitKind

DRIVES = {UnitKind.AC_DRIVE, UnitKind.DC_DRIVE, UnitKind.SERVO_DRIVE}

# --- the sheet


@pytest.mark.parametrize("kind", UnitKind)
def test_every_kind_of_unit_is_asked_enough_and_not_too_much(kind: UnitKind) -> None:
    fewest = 8 if kind in DRIVES else 5
    assert fewest <= sum(kind in check.applies_to for check in shipped("load_test").checks) <= 16


@pytest.mark.parametrize("kind", UnitKind)
def test_whatever_is_energised_here_can_be_cleared_here(kind: UnitKind) -> None:
    asked = [check for check in shipped("load_test").checks if kind in check.applies_to]
    raised = {check.raises for check in asked if check.raises}
    assert HazardKind.ENERGISED in raised
    assert raised <= {check.clears for check in asked}


def test_a_repair_after_the_run_makes_all_of_it_stale() -> None:
    sheet = shipped("load_test")
    for check in sheet.checks:
        assert {"work", "sent_back"} <= set(sheet.stale_after_of(check))


# --- power


def test_three_phase_power() -> None:
    """EngToolbox: 400 V, 20 A, pf 1 are 13 856.4 W."""
    found = figures(power(Power(line_volts=400, amps=20, power_factor=1)))
    assert float(found["input_w"]) == pytest.approx(13856.4, abs=0.1)
    assert "efficiency" not in found


def test_efficiency_from_the_shaft() -> None:
    """BHP = √3 U I pf η / 746: 460 V, 60 A, 0.86, η 0.92 are 41 112 W in and 50.701 hp out."""
    found = figures(power(Power(line_volts=460, amps=60, power_factor=0.86, output_w=50.701 * 746)))
    assert float(found["input_w"]) == pytest.approx(41112.0, rel=1e-4)
    assert float(found["efficiency"]) == pytest.approx(92, rel=1e-4)


def test_torque_of_the_shaft() -> None:
    """industrialmonitordirect.com, load stand for a 60 hp motor: 44.76 kW at 1765 rpm are 242 N·m (178.5 lb·ft)."""
    given_shaft = Power(line_volts=460, amps=68, power_factor=0.86, output_w=44.76e3, rpm=1765)
    torque = float(figures(power(given_shaft))["torque_nm"])
    assert torque == pytest.approx(242.16, abs=0.5)
    assert torque / 1.3558179 == pytest.approx(178.5, abs=0.5), "1 lbf·ft = 1.3558179 N·m (NIST SP 811)"


def test_a_torque_needs_an_output() -> None:
    with pytest.raises(ValidationError, match="output power too"):
        Power(line_volts=460, amps=68, power_factor=0.86, rpm=1765)


def test_more_out_than_in_is_a_wrong_reading() -> None:
    finding = power(Power(line_volts=400, amps=20, power_factor=1, output_w=13900))
    assert finding.verdict is Verdict.FAIL
    assert "measure both again" in finding.says


@settings(max_examples=100)
@given(st.floats(1, 1000), st.floats(0.1, 1000), st.floats(0.1, 1), st.floats(0, 1e6))
def test_power_fails_exactly_when_more_comes_out(volts: float, amps: float, factor: float, out: float) -> None:
    finding = power(Power(line_volts=volts, amps=amps, power_factor=factor, output_w=out))
    watts = 3 * (volts / math.sqrt(3)) * amps * factor
    assume(abs(out - watts) > 1e-6 * watts)
    assert (finding.verdict is Verdict.FAIL) == (out > watts)


# --- speed


@pytest.mark.parametrize(
    ("no_load", "full", "percent"), [(1800, 1750, 2.8571), (1500, 1462, 2.5992), (1877.67, 1800, 4.3148)]
)
def test_speed_regulation(no_load: float, full: float, percent: float) -> None:
    """SR% = 100 (N0 − NFL) / NFL, textbook; the last is Rashid ex. 14.6, computed."""
    found = figures(speed_regulation(SpeedRegulation(no_load=no_load, full_load=full)))
    assert float(found["percent"]) == pytest.approx(percent, abs=1e-3)


def test_the_allowed_departure_passes_either_way() -> None:
    for full, verdict in ((1000, "pass"), (999, "fail")):
        assert speed_regulation(SpeedRegulation(no_load=1050, full_load=full, allowed=5)).verdict == verdict
    rising = speed_regulation(SpeedRegulation(no_load=900, full_load=1000, allowed=5))
    assert (rising.verdict, figures(rising)["percent"]) == (Verdict.FAIL, -10)
