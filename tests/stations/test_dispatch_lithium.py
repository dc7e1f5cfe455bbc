"""Dispatch: lithium cells that travel, against rules published elsewhere."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.dispatch.lithium import Lithium, lithium
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import FROM_MEMORY, Finding, Verdict

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


def flown(chemistry: str, size: float, packed: str = "in equipment", **more: object) -> Finding:
    return declared(chemistry, 0, 1, size, **{"packed": packed, "by": "air", "cells_kg": 0.5, **more})


@pytest.mark.parametrize(("kilograms", "within"), [(5, "yes"), (5.01, "no")])
@pytest.mark.parametrize(("chemistry", "size"), [(ION, 2.7), (METAL, 1)])
def test_five_kilograms_a_package_by_air(chemistry: str, size: float, kilograms: float, within: str) -> None:
    """IATA packing instruction 967 section II (ap360.pl, a secondary page); 970 from memory."""
    finding = flown(chemistry, size, cells_kg=kilograms)
    assert figures(finding)["within_air_limits"] == within
    assert finding.verdict is Verdict.UNDECIDED, "by air the licensed person decides"
    assert "licensed person" in finding.says
    assert FROM_MEMORY in finding.source


@pytest.mark.parametrize(("cells", "batteries", "mark"), [(4, 0, "no"), (5, 0, "yes"), (0, 2, "no"), (0, 3, "yes")])
def test_the_mark_by_air(cells: int, batteries: int, mark: str) -> None:
    """The same page: at most 4 cells or 2 batteries go unmarked. Canada's easier rule is for the road."""
    finding = declared(ION, cells, batteries, 2, by="air", cells_kg=1, mark_rule="Canada", packages=1)
    assert figures(finding)["mark_needed"] == mark


def test_a_recalled_battery_never_flies() -> None:
    """The same page."""
    assert flown(ION, 10, sound="no").verdict is Verdict.FAIL


@pytest.mark.parametrize(
    ("packed", "watt_hours", "charge", "verdict", "within"),
    [
        ("with equipment", 10, 30, Verdict.UNDECIDED, "yes"),
        ("with equipment", 10, 31, Verdict.FAIL, "no"),
        ("with equipment", 10, None, Verdict.UNDECIDED, "no"),
        ("with equipment", 2.7, 100, Verdict.UNDECIDED, "yes"),
        ("in equipment", 10, 100, Verdict.UNDECIDED, "yes"),  # only advised
    ],
)
def test_how_far_a_battery_may_be_charged(
    packed: str, watt_hours: float, charge: float | None, verdict: Verdict, within: str
) -> None:
    """lion.com, October 2024: UN 3481 packed with equipment above 2.7 Wh at most 30 % from 1 January 2026; contained in
    equipment advised."""
    finding = flown(ION, watt_hours, packed, charge_percent=charge)
    assert (finding.verdict, figures(finding)["within_air_limits"]) == (verdict, within)


def test_by_air_the_weight_of_the_cells_is_asked_for() -> None:
    with pytest.raises(InputError, match="net weight"):
        flown(ION, 10, cells_kg=None)


def test_what_holds_for_every_package_stands_in_the_working() -> None:
    """ADR special provision 188 (safepaconline.com, dg-awareness.nl) and 2.2.9.1.7 (adrbook.com)."""
    told = " ".join(declared(ION, 0, 1, 10).working)
    for words in (
        "UN 38.3",
        "watt-hours on the case",
        "made from 2009 on",
        "drop test of 1.2 m nor the limit of 30 kg",
    ):
        assert words in told


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
