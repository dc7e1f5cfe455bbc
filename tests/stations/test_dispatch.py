"""Dispatch: the sheet and its judges, against figures published elsewhere."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.dispatch.accessories import Accessories, accessories
from stations.dispatch.lithium import Lithium, lithium
from stations.dispatch.weight import ChargeableWeight, chargeable_weight
from tests.stations.findings import figures
from tests.stations.sheet import shipped
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict
from traveller.sheets import HazardKind, UnitKind

# --- the sheet


@pytest.mark.parametrize("kind", UnitKind)
def test_every_kind_of_unit_is_asked_between_eight_and_sixteen_things(kind: UnitKind) -> None:
    assert 8 <= sum(kind in check.applies_to for check in shipped("dispatch").checks) <= 16


def test_whatever_is_opened_again_is_packed_again() -> None:
    sheet = shipped("dispatch")
    for check in sheet.checks:
        assert {"work", "sent_back"} <= set(sheet.stale_after_of(check))


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


# --- lithium

ION, METAL = "lithium ion", "lithium metal"


def declared(chemistry: str, cells: int, batteries: int, size: float, **more: object) -> Finding:
    measure = "watt_hours" if chemistry == ION else "grams"
    return lithium(
        Lithium.model_validate({"chemistry": chemistry, "cells": cells, "batteries": batteries, measure: size, **more})
    )


@pytest.mark.parametrize(
    ("chemistry", "cells", "batteries", "edge"),
    [(ION, 1, 0, 20), (ION, 0, 1, 100), (METAL, 1, 0, 1), (METAL, 0, 1, 2)],
)
def test_the_limit_itself_is_allowed(chemistry: str, cells: int, batteries: int, edge: float) -> None:
    """ADR special provision 188 (safepaconline.com 188): up to 20 / 100 Wh, 1 / 2 g."""
    finding = declared(chemistry, cells, batteries, edge)
    assert (finding.verdict, figures(finding)["allowed_in_equipment"]) == (Verdict.PASS, "yes")
    above = declared(chemistry, cells, batteries, math.nextafter(edge, 1e9))
    assert (above.verdict, figures(above)["allowed_in_equipment"]) == (Verdict.UNDECIDED, "no")
    assert "licensed person" in above.says


@pytest.mark.parametrize(
    ("cells", "batteries", "packages", "united_states", "canada"),
    [
        (4, 0, 2, "no", "no"),
        (5, 0, 1, "yes", "yes"),
        (0, 2, 2, "no", "no"),
        (0, 3, 1, "yes", "yes"),
        (4, 0, 3, "yes", "no"),
        (0, 2, 50, "yes", "no"),
        (2, 1, 1, "yes", "yes"),  # cells or batteries: both together are not let off
    ],
)
def test_who_may_leave_the_mark_off(cells: int, batteries: int, packages: int, united_states: str, canada: str) -> None:
    """49 CFR 173.185(c)(3) and Canada SP 34, which has no two-package condition
    (thecompliancecenter.com/lithium-battery-mark-exceptions).
    """
    for rule, mark in (("United States", united_states), ("Canada", canada)):
        finding = declared(ION, cells, batteries, 10, packages=packages, mark_rule=rule)
        assert figures(finding)["mark_needed"] == mark


def test_six_hundred_button_cells_in_a_hundred_devices_need_no_mark() -> None:
    """PHMSA letter 16-0172: each below 1 g, in equipment."""
    finding = declared(METAL, 600, 0, 0.9, packages=1, button_cells="yes")
    assert figures(finding) == {"allowed_in_equipment": "yes", "mark_needed": "no", "un_number": "UN 3091"}


def test_a_small_battery_by_its_volts_and_ampere_hours() -> None:
    """PHMSA letter 14-0218: 7.4 V × 1.1 Ah = 8.14 Wh, small-battery rules apply."""
    assert declared(ION, 0, 1, 7.4 * 1.1).verdict is Verdict.PASS


@pytest.mark.parametrize(
    ("chemistry", "packed", "number"),
    [
        (ION, "alone", "UN 3480"),
        (ION, "with equipment", "UN 3481"),
        (ION, "in equipment", "UN 3481"),
        (METAL, "alone", "UN 3090"),
        (METAL, "with equipment", "UN 3091"),
        (METAL, "in equipment", "UN 3091"),
    ],
)
def test_un_numbers(chemistry: str, packed: str, number: str) -> None:
    """ADR 2.2.9.1.7 (adrbook.com). Whatever is not in the unit goes to the licensed person."""
    finding = declared(chemistry, 0, 1, 1, packed=packed)
    assert figures(finding)["un_number"] == number
    assert (finding.verdict is Verdict.PASS) == (packed == "in equipment")


def test_a_damaged_cell_stays_here() -> None:
    """ADR special provision 376 applies instead (adrbook.com)."""
    finding = declared(ION, 0, 1, 1, sound="no")
    assert finding.verdict is Verdict.FAIL
    assert "376" in finding.source


@pytest.mark.parametrize(
    ("grams", "watt_hours", "cells", "allowed"),
    [(1.5, 10, 0, "yes"), (1.51, 10, 0, "no"), (1.5, 10.1, 0, "no"), (1, 5, 1, "no")],
)
def test_a_battery_of_both_chemistries(grams: float, watt_hours: float, cells: int, allowed: str) -> None:
    """ADR special provision 188 with 2.2.9.1.7 f (jolmers-adr.nl): 1.5 g and 10 Wh in all."""
    finding = declared("hybrid", cells, 1, grams, watt_hours=watt_hours)
    assert figures(finding)["allowed_in_equipment"] == allowed
    assert (finding.verdict is Verdict.PASS) == (allowed == "yes")
    assert "from memory" in finding.source
    with pytest.raises(InputError, match="both"):
        declared("hybrid", 0, 1, 1)


@pytest.mark.parametrize(
    ("said", "meant"), [("ion", ION), ("Li-ion", ION), ("LITHIUM ION", ION), ("metal", METAL), ("li-metal", METAL)]
)
def test_what_people_call_it(said: str, meant: str) -> None:
    given_so = Lithium.model_validate({"chemistry": said, "cells": 1, "batteries": 0})
    assert given_so.chemistry == meant


def test_the_measure_belongs_to_the_chemistry() -> None:
    with pytest.raises(InputError, match="grams of lithium"):
        lithium(Lithium(chemistry="lithium metal", cells=1, batteries=0, watt_hours=5))


@settings(max_examples=200)
@given(
    st.sampled_from([ION, METAL]),
    st.integers(-1, 12),
    st.integers(-1, 12),
    st.floats(0, 200),
    st.integers(1, 5),
    st.sampled_from(["in equipment", "with equipment", "alone"]),
    st.sampled_from(["yes", "no"]),
)
def test_only_sound_small_cells_in_a_unit_pass(
    chemistry: str, cells: int, batteries: int, size: float, packages: int, packed: str, sound: str
) -> None:
    try:
        finding = declared(chemistry, cells, batteries, size, packages=packages, packed=packed, sound=sound)
    except ValidationError:
        assert min(cells, batteries) < 0 or cells + batteries == 0
        return
    most = {ION: (20, 100), METAL: (1, 2)}[chemistry][0 if cells else 1]
    assert (finding.verdict is Verdict.PASS) == (packed == "in equipment" and sound == "yes" and size <= most)
