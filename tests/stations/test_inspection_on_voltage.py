"""Inspection: leakage currents and voltage tests, against figures published elsewhere."""

from __future__ import annotations

import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from scipy import optimize

from stations.inspection import leakage_current as leaking
from stations.inspection import voltage_test as volted
from stations.inspection.leakage_current import LeakageCurrent, leakage_current
from stations.inspection.voltage_test import VoltageTest, voltage_test
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import FROM_MEMORY, Finding, Verdict

# --- leakage

CONDUCTOR, TOUCH = "protective conductor, DIN VDE 0701-0702:2008", "touch, DIN VDE 0701-0702:2008"


def leak(milliamperes: float, rule: str = CONDUCTOR, heater_kw: float | None = None) -> Finding:
    given_reading = {"leakage": milliamperes / 1000, "rule": rule, "heater_kw": heater_kw}
    return leakage_current(LeakageCurrent.model_validate(given_reading))


@pytest.mark.parametrize(
    ("rule", "milliamperes", "edge"),
    [
        (CONDUCTOR, 3.5, Verdict.PASS),  # Benning ST 755, HT-PT01/03 p. 24
        (TOUCH, 0.5, Verdict.PASS),  # Benning ST 755
        ("class I portable, IET 4th edition", 0.75, Verdict.FAIL),  # label in the Fluke 6200-2 manual p. 23: "< 0.75"
        ("class I, IET 4th edition", 3.5, Verdict.FAIL),
        ("class II, IET 4th edition", 0.25, Verdict.FAIL),
        ("any class, IET 5th edition", 5, Verdict.PASS),  # pat-testing-training.net: 5 mA for all classes
    ],
)
def test_leakage_limits_and_their_edges(rule: str, milliamperes: float, edge: Verdict) -> None:
    assert leak(milliamperes, rule).verdict is edge
    assert float(figures(leak(0, rule))["limit_a"]) == pytest.approx(milliamperes / 1000)
    assert leak(milliamperes * 0.999, rule).verdict is Verdict.PASS
    assert leak(milliamperes * 1.001, rule).verdict is Verdict.FAIL


@pytest.mark.parametrize(("kilowatts", "milliamperes"), [(1, 3.5), (3.5, 3.5), (3.6, 3.6), (4, 4), (10, 10), (12, 10)])
def test_heaters_may_leak_a_milliampere_for_each_kilowatt(kilowatts: float, milliamperes: float) -> None:
    """Benning, HT-PT01/03: above 3.5 kW 1 mA per kW, at most 10 mA."""
    assert float(figures(leak(1, heater_kw=kilowatts))["limit_a"]) == pytest.approx(milliamperes / 1000)


def test_only_the_protective_conductor_has_a_row_for_heaters() -> None:
    with pytest.raises(InputError, match="no row for heaters"):
        leak(0.1, TOUCH, heater_kw=4)


def test_the_finding_says_which_edition_and_what_became_of_it() -> None:
    """akademie-herkert.de: DIN VDE 0701-0702 ended in December 2022 (0701) and September 2023 (0702); EN 50678 has its
    own table, which was not read."""
    source = leak(1).source
    assert "ended December 2022 (0701) and September 2023 (0702)" in source
    assert FROM_MEMORY in source
    assert "superseded in November 2020" in leak(0.1, "class II, IET 4th edition").source
    assert "not a mandate" in source


def test_the_form_offers_exactly_the_leakage_rules_of_the_data_file() -> None:
    offered = get_args(LeakageCurrent.model_fields["rule"].annotation)
    assert offered == tuple(one.name for one in leaking.limits().rule)


def test_an_overrange_leaks_too_much_and_no_reading_is_negative() -> None:
    assert leak(math.inf).verdict is Verdict.FAIL
    with pytest.raises(ValidationError):
        leak(-1)


# --- voltage test

NEW, REPAIRED = "new winding, AC", "winding after repair, AC"


def on_test(volts: float, rule: str = NEW, **more: object) -> Finding:
    return voltage_test(VoltageTest.model_validate({"rated_volts": volts, "rule": rule, **more}))


@pytest.mark.parametrize(
    ("rule", "volts"),
    [
        (NEW, 1920),
        ("new winding, DC", 3264),
        (REPAIRED, 1536),
        ("winding after repair, DC", 2611.2),
        ("accessory, AC", 1500),
        ("accessory, DC", 2600),
    ],
)
def test_volts_of_the_test(rule: str, volts: float) -> None:
    """EASA AR100-2020 for 460 V: AC 1000 + 2 U, DC 1700 + 3.4 U, after repair 80 %; accessories 1500 and 2600 V."""
    assert float(figures(on_test(460, rule))["test_volts"]) == pytest.approx(volts, rel=1e-12)


def test_direct_volts_are_1_7_times_alternating_ones() -> None:
    """EASA AR100-2020: DC = 1.7 × AC."""
    for rule in ("new winding", "winding after repair"):
        ac, dc = (float(figures(on_test(460, f"{rule}, {kind}"))["test_volts"]) for kind in ("AC", "DC"))
        assert dc == pytest.approx(1.7 * ac)


@pytest.mark.parametrize(
    ("rule", "applied", "seconds", "verdict"),
    [
        (NEW, 1920, 60, Verdict.PASS),
        (NEW, 1921, 60, Verdict.FAIL),
        (NEW, 1919, 60, Verdict.UNDECIDED),
        (NEW, 1920, 59, Verdict.UNDECIDED),
        (REPAIRED, 1536, 60, Verdict.PASS),
        (REPAIRED, 1000, 60, Verdict.PASS),  # "at most 80 %"
        (REPAIRED, 1920, 60, Verdict.FAIL),  # the full test of a new winding again
    ],
)
def test_what_was_applied(rule: str, applied: float, seconds: float, verdict: Verdict) -> None:
    assert on_test(460, rule, applied=applied, seconds=seconds).verdict is verdict
    assert on_test(460, rule, applied=applied, seconds=seconds, withstood="no").verdict is Verdict.FAIL


def test_before_it_is_made_nothing_is_proved() -> None:
    finding = on_test(460)
    assert finding.verdict is Verdict.UNDECIDED
    assert "1.92 kV for 60 s" in finding.says


def test_a_minute_that_stresses_like_twenty_years() -> None:
    """Semikron AN 16-002, U⁶ t = const: 230 V for 20 years are about 3400 V for 60 s (3404.5 V)."""

    def years(volts: float) -> float:
        return float(figures(on_test(230, NEW, applied=volts))["equals_years"])

    assert optimize.brentq(lambda volts: years(volts) - 20, 1000, 9000) == pytest.approx(3404.5, rel=1e-3)


def test_the_unit_itself_only_by_its_service_manual() -> None:
    """ABB ACS880-M04 and ACS480: no voltage test on any part of the drive."""
    with pytest.raises(InputError, match="do not make one"):
        on_test(400, "unit, by its own service manual")
    assert figures(on_test(400, "unit, by its own service manual", manual_volts=1500))["test_volts"] == 1500
    assert "Never on the drive itself" in on_test(460).caution


def test_the_form_offers_exactly_the_voltage_rules_of_the_data_file() -> None:
    offered = get_args(VoltageTest.model_fields["rule"].annotation)
    assert offered == tuple(one.name for one in volted.limits().rule)


@settings(max_examples=200)
@given(st.floats(1, 20_000), st.floats(0, 1), st.floats(60, 3600))
def test_no_winding_passes_above_what_is_allowed(volts: float, share: float, seconds: float) -> None:
    allowed = float(figures(on_test(volts, REPAIRED))["test_volts"])
    assert on_test(volts, REPAIRED, applied=allowed * share, seconds=seconds).verdict is Verdict.PASS
    assert on_test(volts, REPAIRED, applied=allowed * (1.001 + share), seconds=seconds).verdict is Verdict.FAIL
