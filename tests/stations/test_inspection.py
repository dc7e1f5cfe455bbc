"""Inspection: the sheet and its judges, against figures published elsewhere."""

from __future__ import annotations

import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.inspection.defects import DefectRate, defect_rate
from stations.inspection.insulation import Insulation, insulation, limits
from stations.inspection.protective_conductor import ProtectiveConductor, protective_conductor
from tests.stations.findings import figures
from tests.stations.sheet import shipped
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict
from traveller.sheets import UnitKind

# --- the sheet


@pytest.mark.parametrize("kind", UnitKind)
def test_every_kind_of_unit_is_asked_between_eight_and_sixteen_things(kind: UnitKind) -> None:
    assert 8 <= sum(kind in check.applies_to for check in shipped("inspection").checks) <= 16


def test_nobody_inspects_their_own_work() -> None:
    sheet = shipped("inspection")
    assert all(check.independent for check in sheet.checks)
    assert sheet.work_lines == "verified"


def test_component_work_makes_every_inspection_stale() -> None:
    sheet = shipped("inspection")
    for check in sheet.checks:
        assert {"work", "sent_back", "station:component_work"} <= set(sheet.stale_after_of(check))


# --- protective conductor


def bond(resistance: float, length: float, area: float, **more: object) -> Finding:
    return protective_conductor(
        ProtectiveConductor.model_validate(
            {"resistance": resistance, "length_m": length, "cross_section_mm2": area, **more}
        )
    )


def bond_limit(length: float, area: float = 1.5, **more: object) -> float:
    return float(figures(bond(0, length, area, **more))["limit_ohm"])


@pytest.mark.parametrize(
    ("length", "ohms"), [(3, 0.3), (5, 0.3), (12.5, 0.4), (20, 0.5), (27.5, 0.6), (57.5, 1.0), (100, 1.0)]
)
@pytest.mark.parametrize("rule", ["full steps", "pro rata", "started steps"])
def test_the_limit_of_a_thin_conductor_at_the_steps(length: float, ohms: float, rule: str) -> None:
    """elektro.net 120122: 0.3 Ω up to 5 m, 0.1 Ω for each further 7.5 m, never above 1 Ω; 3 m from Gossen."""
    assert bond_limit(length, between_steps=rule) == pytest.approx(ohms, abs=1e-9)


def test_between_two_steps_the_rule_is_a_setting_and_the_strictest_is_the_default() -> None:
    """6 m: what was read does not say whether the started step counts (elektro.net 120122)."""
    assert bond_limit(6) == pytest.approx(0.3)
    assert bond_limit(6, between_steps="pro rata") == pytest.approx(0.3 + 0.1 / 7.5)
    assert bond_limit(6, between_steps="started steps") == pytest.approx(0.4)
    assert "full steps" in " ".join(bond(0.1, 6, 1.5).working)


def test_a_thick_conductor_is_worked_out() -> None:
    """R = l / (κA), κ 56: 25 m of 2.5 mm² are 0.1786 Ω, with 0.1 Ω for contacts 0.279 Ω."""
    assert bond_limit(25, 2.5) == pytest.approx(0.1786, abs=5e-5)
    assert bond_limit(25, 2.5, contact_allowance=0.1) == pytest.approx(0.279, abs=5e-4)


def test_a_thick_conductor_never_has_to_be_better_than_a_tenth_of_an_ohm() -> None:
    """Gossen Metrawatt support: the lowest possible limit is 0.1 Ω."""
    assert bond_limit(1, 10) == 0.1


@pytest.mark.parametrize(("ohms", "verdict"), [(0.3, "pass"), (0.301, "fail"), (math.inf, "fail")])
def test_the_limit_itself_passes_and_an_open_conductor_fails(ohms: float, verdict: str) -> None:
    assert bond(ohms, 5, 1.5).verdict == verdict


def test_the_finding_says_that_the_standard_leaves_drives_out() -> None:
    """EN 50678:2020 scope (standards.iteh.ai): power drives and power supplies excluded."""
    finding = bond(0.1, 3, 1.5)
    assert "not a mandate" in finding.source
    assert finding.caution


@settings(max_examples=200)
@given(st.floats(0.1, 900), st.floats(0.1, 100), st.sampled_from([0.5, 1.5, 2.5, 10.0]))
def test_a_longer_conductor_is_never_allowed_less(length: float, more: float, area: float) -> None:
    assert bond_limit(length, area) <= bond_limit(length + more, area) <= 1.0


# --- insulation


def judged(ohms: float, celsius: float, specimen: str = "random-wound motor below 1 kV", **more: object) -> Finding:
    return insulation(
        Insulation.model_validate(
            {"resistance": ohms, "temperature": celsius, "specimen": specimen, "test_voltage": 500, **more}
        )
    )


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


@pytest.mark.parametrize(("volts", "megohms"), [(460, 1.46), (4160, 5.16)])
def test_an_old_winding_needs_a_megohm_more_than_its_kilovolts(volts: float, megohms: float) -> None:
    """IEEE 43, (kV + 1) MΩ, as quoted at forum.testguy.net."""
    found = figures(judged(1e9, 40, "motor wound before 1970", rated_voltage=volts))
    assert float(found["minimum"]) == pytest.approx(megohms * 1e6)


@pytest.mark.parametrize(
    ("specimen", "volts", "megohms"),
    [
        ("power circuit to earth", 500, 1.0),  # IEC 60204-1, Gossen m535c page 95
        ("extra-low-voltage circuit", 250, 0.5),  # IEC 60364-6, trv.banenor.no; the older 0.25 is out
        ("circuit up to 500 V", 500, 1.0),  # the same
        ("circuit above 500 V", 1000, 1.0),  # the same
        ("brake resistor", 1000, 1.0),  # ABB ACS880-M04
    ],
)
def test_minimum_and_test_voltage(specimen: str, volts: float, megohms: float) -> None:
    ohms = megohms * 1e6
    assert figures(judged(ohms, 20, specimen, test_voltage=volts))["minimum"] == ohms
    assert judged(ohms, 20, specimen, test_voltage=volts).verdict is Verdict.PASS
    assert judged(ohms * 0.999, 20, specimen, test_voltage=volts).verdict is Verdict.FAIL
    assert judged(ohms, 20, specimen, test_voltage=volts - 1).verdict is Verdict.UNDECIDED


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


def test_an_old_winding_without_its_volts_is_refused() -> None:
    with pytest.raises(InputError, match="rated voltage"):
        judged(1e9, 20, "motor wound before 1970")


def test_the_form_offers_exactly_the_rules_of_the_data_file() -> None:
    assert get_args(Insulation.model_fields["specimen"].annotation) == tuple(r.name for r in limits().rule)


@settings(max_examples=200)
@given(st.floats(0, 1e12), st.floats(-40, 200), st.sampled_from([r.name for r in limits().rule]))
def test_more_ohms_never_judge_worse(ohms: float, celsius: float, specimen: str) -> None:
    more = {"rated_voltage": 400, "manual_minimum": 1e6, "test_voltage": 1000}
    if judged(ohms, celsius, specimen, **more).verdict is Verdict.PASS:
        assert judged(2 * ohms, celsius, specimen, **more).verdict is Verdict.PASS


@pytest.mark.parametrize("ohms", [-1, math.nan])
def test_impossible_resistance_is_refused(ohms: float) -> None:
    with pytest.raises(ValidationError):
        judged(ohms, 20)
    with pytest.raises(ValidationError):
        bond(ohms, 3, 1.5)


# --- defects


@pytest.mark.parametrize(
    ("defects", "opportunities", "dpmo"),
    [(1, 240, 83.3333), (2, 240, 166.6667), (9, 1200, 150.0), (1, 1, 20_000), (13, 1681, 154.6698)],
)
def test_defects_per_million(defects: int, opportunities: int, dpmo: float) -> None:
    """DPMO formula (listserv.ipc.org TECHNET 2005) on 50 boards; 154.7619 would drop the 50 assemblies."""
    given_counts = DefectRate(defects=defects, units=50, opportunities_per_unit=opportunities)
    assert float(figures(defect_rate(given_counts))["dpmo"]) == pytest.approx(dpmo, abs=1e-3)


def test_defects_per_unit_and_yield() -> None:
    """Poisson: 13 on 50 boards are 0.26 a board, e^−0.26 = 0.771052 have none."""
    found = figures(defect_rate(DefectRate(defects=13, units=50, opportunities_per_unit=1681)))
    assert found["dpu"] == 0.26
    assert float(found["yield"]) == pytest.approx(0.771052, abs=1e-5)


def test_more_defects_than_opportunities_are_refused() -> None:
    with pytest.raises(InputError, match="count both again"):
        defect_rate(DefectRate(defects=5, units=2, opportunities_per_unit=2))


@settings(max_examples=200)
@given(st.integers(-5, 50), st.integers(-5, 50), st.integers(-5, 50))
def test_only_findings_and_sentences_come_out(defects: int, units: int, each: int) -> None:
    try:
        found = figures(defect_rate(DefectRate(defects=defects, units=units, opportunities_per_unit=each)))
    except (InputError, ValidationError):
        assert defects < 0 or units < 1 or each < 1 or defects > units * each
    else:
        assert 0 <= float(found["dpmo"]) <= 1e6
        assert 0 < float(found["yield"]) <= 1
