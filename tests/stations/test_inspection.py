"""Inspection: the sheet and its judges, against figures published elsewhere."""

from __future__ import annotations

import math
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.inspection.defects import DefectRate, defect_rate
from stations.inspection.insulation import Insulation, insulation
from stations.inspection.insulation_limits import Correction, limits
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


@pytest.mark.parametrize(("amps", "volts", "verdict"), [(10, 1.0, "pass"), (25, 2.6, "fail")])
def test_a_tenth_of_an_ohm_passes_and_a_little_more_does_not(amps: float, volts: float, verdict: str) -> None:
    """The 0.1 Ω of EN 50106 and IEC 61439 10.5.2: 10 A and 1.0 V, 25 A and 2.6 V."""
    assert bond(volts / amps, 1, 10).verdict == verdict


@settings(max_examples=200)
@given(st.floats(0.1, 900), st.floats(0.1, 100), st.sampled_from([0.5, 1.5, 2.5, 10.0]))
def test_a_longer_conductor_is_never_allowed_less(length: float, more: float, area: float) -> None:
    assert bond_limit(length, area) <= bond_limit(length + more, area) <= 1.0


# --- insulation


def judged(ohms: float, celsius: float, specimen: str = "random-wound motor below 1 kV", **more: object) -> Finding:
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
    assert (apart.verdict, figures(apart)["polarisation_index"]) == (finding.verdict, pytest.approx(index))


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
    with pytest.raises(ValidationError):
        bond(ohms, 3, 1.5)


def test_a_part_colder_than_anything_is_refused() -> None:
    with pytest.raises(ValidationError):
        judged(1e9, -274)


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
