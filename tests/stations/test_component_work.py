"""Component work: the sheet and its judges, against figures published elsewhere."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.component_work.capacitors import CapacitorHealth, capacitor_health, criteria
from stations.component_work.leakage import leakage_rules
from tests.stations.findings import figures
from tests.stations.sheet import shipped
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict
from traveller.vocabulary import UnitKind

# --- the sheet


@pytest.mark.parametrize("kind", UnitKind)
def test_every_kind_of_unit_is_asked_between_eight_and_sixteen_things(kind: UnitKind) -> None:
    assert 8 <= sum(kind in check.applies_to for check in shipped("component_work").checks) <= 16


def test_answering_here_counts_as_work_and_every_line_must_be_fitted() -> None:
    sheet = shipped("component_work")
    assert sheet.does_work
    assert sheet.work_lines == "fitted"


def test_the_wrist_strap_and_the_mat_are_asked_for_by_their_ohms() -> None:
    """EN 61340-5-1: wrist-strap system below 3.5e7 Ω (dpv-elektronik.de), surfaces below 1e9 Ω (vermason.co.uk)."""
    check = next(check for check in shipped("component_work").checks if check.key == "strap_tested")
    assert "strap below 35 MΩ, mat below 1 GΩ" in check.help


def test_a_part_fitted_later_makes_cleaning_and_coating_stale() -> None:
    sheet = shipped("component_work")
    for key in ("cleaned", "coated", "torque", "driver_stages"):
        assert "work" in sheet.stale_after_of(next(check for check in sheet.checks if check.key == key))


# --- the health of a capacitor


def health(
    capacitance: float,
    esr: float,
    criterion: str = "20 % and 2 times",
    new: tuple[float, float] = (1000e-6, 0.1),
) -> Finding:
    return capacitor_health(
        CapacitorHealth.model_validate(
            {
                "capacitance": capacitance,
                "esr": esr,
                "new_capacitance": new[0],
                "new_esr": new[1],
                "criterion": criterion,
            }
        )
    )


def test_a_worn_capacitor_against_the_published_criteria() -> None:
    """-21 % and 2.1 times new: worn out at 20 % and 2 times (load life), not yet at 30 % and 3 times (IEC
    60384).
    """
    finding = health(790e-6, 0.21)
    assert figures(finding) == {"capacitance_change": pytest.approx(-21), "esr_ratio": pytest.approx(2.1)}
    assert finding.verdict is Verdict.FAIL
    assert "capacitance and ESR" in finding.says
    assert health(790e-6, 0.21, "30 % and 3 times").verdict is Verdict.PASS


def test_either_way_means_too_much_as_well() -> None:
    """Vishay 158 PUL-SI, document 28375: ±20 %, ESR 3 times."""
    assert health(1210e-6, 0.1, "20 % either way and 3 times").verdict is Verdict.FAIL
    assert health(1210e-6, 0.1).verdict is Verdict.PASS
    assert health(1000e-6, 0.29, "20 % either way and 3 times").verdict is Verdict.PASS


@pytest.mark.parametrize(("microfarads", "esr"), [(800, 0.2), (800, 0.1), (1000, 0.2)])
def test_the_edges_of_the_criterion_still_pass(microfarads: float, esr: float) -> None:
    """80 % of new and twice the ESR are the last good values: "below 80 %", "above 2 times" are worn out."""
    assert health(microfarads * 1e-6, esr).verdict is Verdict.PASS


@pytest.mark.parametrize(("microfarads", "esr"), [(799.9, 0.1), (1000, 0.2001)])
def test_just_beyond_the_edges_fails(microfarads: float, esr: float) -> None:
    """The same criterion from its other side."""
    assert health(microfarads * 1e-6, esr).verdict is Verdict.FAIL


def test_the_form_offers_exactly_the_criteria_of_the_data_file() -> None:
    assert set(get_args(CapacitorHealth.model_fields["criterion"].annotation)) == set(criteria())


@settings(max_examples=200)
@given(st.floats(0, 1000), st.floats(0, 1e9), st.floats(1e-15, 1000), st.floats(1e-9, 1e9))
def test_what_the_strict_criterion_passes_the_milder_one_passes_too(
    capacitance: float, esr: float, new_capacitance: float, new_esr: float
) -> None:
    new = (new_capacitance, new_esr)
    if health(capacitance, esr, new=new).verdict is Verdict.PASS:
        assert health(capacitance, esr, "30 % and 3 times", new).verdict is Verdict.PASS


# --- its leakage


def allowed(microfarads: float, volts: float, rule: str = "by rated voltage", leakage: float | None = None) -> Finding:
    return capacitor_health(
        CapacitorHealth.model_validate(
            {
                "capacitance": microfarads * 1e-6,
                "esr": 0.1,
                "new_capacitance": microfarads * 1e-6,
                "new_esr": 0.1,
                "rated_voltage": volts,
                "leakage": leakage,
                "leakage_rule": rule,
            }
        )
    )


@pytest.mark.parametrize(
    ("microfarads", "volts", "rule", "microamperes"),
    [
        (47, 40, "0.01CV or 3 µA", 18.8),  # a printed example
        (10, 16, "0.01CV or 3 µA", 3),  # Panasonic: whichever is greater, 1.6 µA by the product
        (220, 400, "0.06CV + 10 µA", 5290),  # Panasonic, from 160 V
        (470, 63, "0.01CV or 3 µA", 296.1),
        (20, 450, "JAN-C-62", 1100),  # mail-archive.com, amradio msg21215: 1.1 and 0.7 mA
        (20, 250, "JAN-C-62", 700),
        (47, 40, "by rated voltage", 18.8),
        (220, 400, "by rated voltage", 5290),
        (100, 160, "by rated voltage", 970),  # exactly 160 V: the row "from 160 V"
        (10, 16, "0.03CV or 4 µA", 4.8),
    ],
)
def test_leakage_limits_as_published(microfarads: float, volts: float, rule: str, microamperes: float) -> None:
    found = figures(allowed(microfarads, volts, rule))
    assert found["leakage_limit_a"] == pytest.approx(microamperes * 1e-6, rel=1e-9)


def test_leakage_exactly_at_its_limit_passes_and_more_fails() -> None:
    assert allowed(47, 40, leakage=18.8e-6).verdict is Verdict.PASS
    finding = allowed(47, 40, leakage=18.9e-6)
    assert finding.verdict is Verdict.FAIL
    assert "leakage" in finding.says


def test_publications_disagree_on_leakage_and_the_finding_names_the_one_used() -> None:
    assert "JAN-C-62" in allowed(20, 250, "JAN-C-62").source


def test_leakage_by_the_volts_across_a_resistor_in_series() -> None:
    """12.0 V across 10 kΩ are 1.20 mA (Ohm)."""
    can = {"capacitance": 220e-6, "esr": 0.1, "new_capacitance": 220e-6, "new_esr": 0.1, "rated_voltage": 400}
    sensed = capacitor_health(CapacitorHealth.model_validate({**can, "sense_volts": 12.0, "sense_resistance": 10e3}))
    assert figures(sensed)["leakage_a"] == pytest.approx(1.20e-3, rel=1e-12)
    assert sensed.verdict is Verdict.PASS
    worse = capacitor_health(CapacitorHealth.model_validate({**can, "sense_volts": 53.0, "sense_resistance": 10e3}))
    assert worse.verdict is Verdict.FAIL, "5.3 mA against the 5.29 mA of this capacitor"
    for half in ({"sense_volts": 12.0}, {"sense_volts": 12.0, "sense_resistance": 10e3, "leakage": 1e-3}):
        with pytest.raises(ValidationError, match="resistor in series"):
            CapacitorHealth.model_validate({**can, **half})


def test_leakage_without_a_rated_voltage_has_no_limit() -> None:
    with pytest.raises(InputError, match="rated voltage"):
        capacitor_health(CapacitorHealth(capacitance=1e-3, esr=0.1, new_capacitance=1e-3, new_esr=0.1, leakage=1e-3))


def test_a_rule_ends_where_it_was_published_to_end() -> None:
    """JAN-C-62 goes to 450 V."""
    with pytest.raises(InputError, match="choose another"):
        allowed(20, 451, "JAN-C-62")


def test_the_form_offers_exactly_the_leakage_rules_of_the_data_file() -> None:
    assert set(get_args(CapacitorHealth.model_fields["leakage_rule"].annotation)) == set(leakage_rules())


@pytest.mark.parametrize("capacitance", [0, -1e-6, float("nan"), float("inf")])
def test_no_new_capacitor_has_this_capacitance(capacitance: float) -> None:
    with pytest.raises(ValidationError):
        CapacitorHealth(capacitance=1e-3, esr=0.1, new_capacitance=capacitance, new_esr=0.1)
