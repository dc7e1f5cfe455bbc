"""Inspection: the sheet and its judges, against figures published elsewhere."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.inspection.defects import DefectRate, defect_rate
from stations.inspection.protective_conductor import ProtectiveConductor, protective_conductor
from tests.stations.findings import figures
from tests.stations.sheet import shipped
from traveller.errors import InputError
from traveller.judgement import Finding
from traveller.vocabulary import UnitKind

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


def test_a_portable_appliance_is_allowed_a_tenth_of_an_ohm_and_its_lead() -> None:
    """pat-testing.info and the label in the Fluke 6200-2 manual p. 23: 0.1 Ω + R of the lead, here l / (κA), κ 56."""
    lead = 2 / (56 * 0.75)
    assert bond_limit(2, 0.75, rule="portable appliance") == pytest.approx(0.1 + lead)
    assert bond(0.1 + lead - 1e-6, 2, 0.75, rule="portable appliance").verdict == "pass"
    assert bond(0.1 + lead + 1e-6, 2, 0.75, rule="portable appliance").verdict == "fail"
    assert "portable" in bond(0.1, 2, 0.75, rule="portable appliance").source


def test_the_finding_says_that_the_standard_leaves_drives_out() -> None:
    """EN 50678:2020 scope (standards.iteh.ai): power drives and power supplies excluded."""
    finding = bond(0.1, 3, 1.5)
    assert "not a mandate" in finding.source
    assert finding.caution


@pytest.mark.parametrize(("amps", "volts", "verdict"), [(10, 1.0, "pass"), (25, 2.6, "fail")])
def test_a_tenth_of_an_ohm_passes_and_a_little_more_does_not(amps: float, volts: float, verdict: str) -> None:
    """The 0.1 Ω of EN 50106 and IEC 61439 10.5.2: 10 A and 1.0 V, 25 A and 2.6 V."""
    assert bond(volts / amps, 1, 10).verdict == verdict


@settings(max_examples=200)
@given(st.floats(0.1, 900), st.floats(0.1, 100), st.sampled_from([0.5, 1.5, 2.5, 10.0]))
def test_a_longer_conductor_is_never_allowed_less(length: float, more: float, area: float) -> None:
    assert bond_limit(length, area) <= bond_limit(length + more, area) <= 1.0


@pytest.mark.parametrize("ohms", [-1, math.nan])
def test_impossible_resistance_is_refused(ohms: float) -> None:
    with pytest.raises(ValidationError):
        bond(ohms, 3, 1.5)


# --- defects


@pytest.mark.parametrize(
    ("defects", "opportunities", "dpmo"),
    [
        (1, 240, 83.3333),
        (2, 240, 166.6667),
        (9, 1200, 150.0),
        (1, 1, 20_000),
        (13, 1681, 154.6698),
        (12, 1680, 142.8571),
    ],
)
def test_defects_per_million(defects: int, opportunities: int, dpmo: float) -> None:
    """DPMO formula (listserv.ipc.org TECHNET 2005) on 50 boards; the last leaves the assembly out of
    both; 154.7619 would drop the 50 assemblies and keep their defect.
    """
    given_counts = DefectRate(defects=defects, units=50, opportunities_per_unit=opportunities)
    assert float(figures(defect_rate(given_counts))["dpmo"]) == pytest.approx(dpmo, abs=1e-3)


def test_defects_per_unit_and_yield() -> None:
    """Poisson: 13 on 50 boards are 0.26 a board, e^−0.26 = 0.771052 have none."""
    found = figures(defect_rate(DefectRate(defects=13, units=50, opportunities_per_unit=1681)))
    assert found["dpu"] == 0.26
    assert float(found["yield"]) == pytest.approx(0.771052, abs=1e-5)


@pytest.mark.parametrize(("defects", "units", "share"), [(10, 100, 0.904837), (5, 100, 0.951229), (8, 1000, 0.992032)])
def test_yield_of_each_step_and_of_all(defects: int, units: int, share: float) -> None:
    """M. Harry, 23 Feb 2004 (in Nemotron-CC-Math): his first is printed as 0.904834, a slip; all three 0.853850."""
    found = figures(defect_rate(DefectRate(defects=defects, units=units, opportunities_per_unit=10)))
    assert float(found["yield"]) == pytest.approx(share, abs=1e-6)


def test_the_yields_multiply() -> None:
    """e^−0.158 = 0.853850 (the same source)."""
    steps = ((10, 100), (5, 100), (8, 1000))
    each = (DefectRate(defects=found, units=units, opportunities_per_unit=10) for found, units in steps)
    assert math.prod(float(figures(defect_rate(one))["yield"]) for one in each) == pytest.approx(0.853850, abs=1e-6)


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
