"""Dispatch: the sheet and its judges, against figures published elsewhere."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.dispatch.accessories import Accessories, accessories
from stations.dispatch.weight import ChargeableWeight, chargeable_weight
from tests.stations.findings import figures
from tests.stations.sheet import shipped
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict
from traveller.vocabulary import HazardKind, UnitKind

# --- the sheet


@pytest.mark.parametrize("kind", UnitKind)
def test_every_kind_of_unit_is_asked_between_eight_and_sixteen_things(kind: UnitKind) -> None:
    assert 8 <= sum(kind in check.applies_to for check in shipped("dispatch").checks) <= 16


def test_whatever_is_opened_again_is_packed_again() -> None:
    sheet = shipped("dispatch")
    for check in sheet.checks:
        assert {"work", "sent_back"} <= set(sheet.stale_after_of(check))


def test_the_shielding_bag_follows_the_edition_in_force() -> None:
    """en-standard.eu, IEC 61340-5-3:2022: discharge shielding 20 nJ, 50 nJ before; the 2015 edition is withdrawn."""
    check = next(check for check in shipped("dispatch").checks if check.key == "bagged")
    assert "61340-5-3:2022" in check.source and "below 20 nJ" in check.source


def test_raw_wood_is_asked_for_its_mark() -> None:
    """ISPM 15 (FAO, bluewaterpallet.ca): wood core at 56 °C for 30 minutes; plywood is out of scope; a repaired one
    is marked anew."""
    check = next(check for check in shipped("dispatch").checks if check.key == "wood_marked")
    assert "56 °C for 30 minutes" in check.source
    assert "Plywood and board need no mark" in check.help and "repaired crate needs a new one" in check.help


def test_a_battery_is_cleared_by_its_declaration_also_when_it_goes_back_unrepaired() -> None:
    check = next(check for check in shipped("dispatch").checks if check.key == "lithium")
    assert check.clears is HazardKind.BATTERY
    assert check.also_unrepaired


# --- accessories


def counted(came: tuple[float, ...], goes: tuple[float, ...]) -> Finding:
    return accessories(Accessories(readings=goes, counted_in=came))


def test_a_missing_and_a_foreign_piece_are_both_named() -> None:
    finding = counted((1, 0, 3, 2), (0, 1, 3, 2))
    assert finding.verdict is Verdict.FAIL
    assert finding.says == "column 1: 1 came in, 0 go out; column 2: 0 came in, 1 go out"
    assert figures(finding) == {"missing": 1, "surplus": 1}


def test_what_is_counted_is_called_by_its_name() -> None:
    finding = accessories(Accessories(readings=(0, 1), counted_in=(1, 1), columns=("keypad", "memory card")))
    assert finding.says == "keypad: 1 came in, 0 go out"
    assert finding.working == ("keypad: in 1, out 0", "memory card: in 1, out 1")


@pytest.mark.parametrize("goes", [(1, 2), (1, 2, 3.5)])
def test_lists_that_cannot_be_compared_are_refused(goes: tuple[float, ...]) -> None:
    with pytest.raises(InputError):
        counted((1, 2, 3), goes)


@settings(max_examples=200)
@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), min_size=1, max_size=8))
def test_passes_exactly_when_out_equals_in(pairs: list[tuple[int, int]]) -> None:
    came, goes = (tuple(float(one) for one in side) for side in zip(*pairs, strict=True))
    finding = counted(came, goes)
    assert (finding.verdict is Verdict.PASS) == (came == goes)
    found = figures(finding)
    assert sum(came) - float(found["missing"]) + float(found["surplus"]) == sum(goes)


# --- weight


def weighed(*measures: float, divisor: float = 5000) -> tuple[float, float]:
    length, width, height, weight = measures
    found = figures(
        chargeable_weight(
            ChargeableWeight(length_cm=length, width_cm=width, height_cm=height, weight_kg=weight, divisor=divisor)
        )
    )
    return float(found["volumetric_kg"]), float(found["chargeable_kg"])


def test_a_light_cube_is_charged_by_volume() -> None:
    """site-kh.khmerceramics.com help centre: 50 × 50 × 50 cm, 20 kg, 25 kg charged."""
    assert weighed(50, 50, 50, 20) == (25, 25)


def test_a_heavy_parcel_is_charged_by_the_scale() -> None:
    """parcelpal.co.uk faqsshow 78: 25 × 30 × 15 cm, 8 kg, volumetric 2.25, 8 kg charged."""
    assert weighed(25, 30, 15, 8) == (2.25, 8)


@pytest.mark.parametrize(("divisor", "kilograms", "charged"), [(5000, 14.4, 14.5), (6000, 12.0, 12.0)])
def test_the_divisor_decides(divisor: float, kilograms: float, charged: float) -> None:
    """60 × 40 × 30 cm; 6000 in use at megacitycourier.in/volumetric.html."""
    assert weighed(60, 40, 30, 1, divisor=divisor) == pytest.approx((kilograms, charged))


@pytest.mark.parametrize(("weight", "charged"), [(8.0, 8.0), (8.001, 8.5), (8.5, 8.5), (8.51, 9.0), (0.02, 0.5)])
def test_up_to_the_next_half_kilogram_and_a_half_stays(weight: float, charged: float) -> None:
    assert weighed(1, 1, 1, weight)[1] == charged


@settings(max_examples=200)
@given(*[st.floats(0.1, 300)] * 3, st.floats(0.01, 900))
def test_never_less_than_either_and_less_than_half_a_kilogram_more(a: float, b: float, c: float, kg: float) -> None:
    volumetric, charged = weighed(a, b, c, kg)
    assert max(volumetric, kg) - 1e-6 <= charged < max(volumetric, kg) + 0.5
    assert charged * 2 == int(charged * 2)
