"""Component work: floor life and bakes, against figures published elsewhere."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stations.component_work.moisture import FloorLife, bakes, floor_life
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import FROM_MEMORY, Finding, Verdict

LEVELS = ("1", "2", "2a", "3", "4", "5", "5a", "6")


def out_of_the_bag(msl: str, hours: float, body_mm: float = 1.2, bake_at: str = "125") -> Finding:
    return floor_life(
        FloorLife.model_validate({"msl": msl, "exposed_h": hours, "body_mm": body_mm, "bake_at": bake_at})
    )


@pytest.mark.parametrize(("hours", "left"), [(167, 1), (168, 0)])
def test_level_3_lasts_168_hours(hours: float, left: float) -> None:
    """Cosel technical note a0073: level 3, 168 h; exactly the limit is still inside."""
    finding = out_of_the_bag("3", hours)
    assert finding.verdict is Verdict.PASS
    assert figures(finding) == {"floor_life_h": 168, "left_h": left, "bake": "none", "bake_h": 0}


def test_level_3_is_used_up_at_169_hours() -> None:
    """The same note."""
    assert out_of_the_bag("3", 169).verdict is Verdict.FAIL


@pytest.mark.parametrize(("msl", "hours"), [("2", 8760), ("2a", 672), ("3", 168), ("4", 72), ("5", 48), ("5a", 24)])
def test_floor_lives(msl: str, hours: float) -> None:
    """Cosel technical note a0073: 1 year, 4 weeks, 168, 72, 48 and 24 h."""
    assert figures(out_of_the_bag(msl, 0))["floor_life_h"] == hours


@pytest.mark.parametrize(
    ("msl", "over", "body", "oven", "hours"),
    [
        ("3", 73, 1.2, "125", 9),
        ("3", 72, 1.2, "125", 7),
        ("5a", 72, 1.0, "40", 240),
        ("2a", 100, 1.4, "90", 17),
        ("3", 100, 1.41, "125", 27),
        ("3", 100, 2.0, "40", 37 * 24),
        ("4", 1, 2.0, "90", 72),
        ("5", 100, 2.0, "125", 40),
    ],
)
def test_bake_after_exposure(msl: str, over: float, body: float, oven: str, hours: float) -> None:
    """J-STD-033 table 4-1, older edition, at eesemi.com/baketables.htm; exactly 72 h over takes the shorter
    time.
    """
    allowed = float(figures(out_of_the_bag(msl, 0))["floor_life_h"])
    assert figures(out_of_the_bag(msl, allowed + over, body, oven))["bake_h"] == hours


def test_the_bake_is_not_the_one_before_dry_packing() -> None:
    """J-STD-033D table 4-2 (ox3.com/pages/baking) asks 16 h of the same part before it is packed: another
    question.
    """
    assert figures(out_of_the_bag("3", 500))["bake_h"] == 9
    assert figures(out_of_the_bag("3", 500))["bake"] == "9 h at 125 °C"
    assert packed("3", 1.2, "125") == 16


@pytest.mark.parametrize(
    ("msl", "body", "oven", "hours"),
    [
        ("3", 1.6, "150", 21),
        ("2", 1.4, "125", 7),
        ("2a", 1.0, "150", 4),
        ("4", 1.4, "125", 21),
        ("5", 1.4, "150", 12),
        ("5a", 1.4, "125", 28),
        ("2", 2.0, "150", 9),
        ("4", 2.0, "125", 48),
    ],
)
def test_bake_before_dry_packing(msl: str, body: float, oven: str, hours: float) -> None:
    """J-STD-033D table 4-2, at ox3.com/pages/baking."""
    assert packed(msl, body, oven) == hours


def packed(msl: str, body: float, oven: str) -> float | str | None:
    asked = {"msl": msl, "exposed_h": 0, "body_mm": body, "bake_at": oven, "purpose": "pack it dry"}
    return figures(floor_life(FloorLife.model_validate(asked))).get("bake_h")


def test_before_dry_packing_no_row_and_no_body_invent_no_bake() -> None:
    """The table has no row for level 5 above 1.4 mm, and no column for 90 °C."""
    assert packed("5", 1.8, "125") is None
    assert packed("3", 1.2, "90") is None
    with pytest.raises(InputError, match="thickness"):
        floor_life(FloorLife(msl="3", exposed_h=0, purpose="pack it dry"))


@pytest.mark.parametrize(
    ("msl", "exposed", "dry", "left"),
    [
        ("3", 12, 60, 168),  # J-STD-033, short exposure: 12 h and five times as long (from memory)
        ("3", 12, 59.9, 156),
        ("3", 12.1, 1000, 155.9),
        ("4", 8, 80, 72),  # levels 4 to 5a: 8 h and ten times as long
        ("4", 8, 79, 64),
        ("5a", 8.5, 1000, 15.5),
    ],
)
def test_dry_storage_starts_the_clock_anew_or_only_stops_it(msl: str, exposed: float, dry: float, left: float) -> None:
    finding = floor_life(FloorLife.model_validate({"msl": msl, "exposed_h": exposed, "dry_h": dry}))
    assert figures(finding)["left_h"] == pytest.approx(left)
    assert FROM_MEMORY in finding.source


def test_dry_storage_does_not_give_back_what_is_used_up() -> None:
    finding = floor_life(FloorLife(msl="3", exposed_h=169, dry_h=10_000, body_mm=1.2))
    assert finding.verdict is Verdict.FAIL
    assert figures(finding)["left_h"] == 0


def test_the_body_is_asked_for_only_when_a_bake_is_due() -> None:
    assert floor_life(FloorLife(msl="3", exposed_h=10)).verdict is Verdict.PASS
    finding = floor_life(FloorLife(msl="3", exposed_h=169))
    assert finding.verdict is Verdict.FAIL
    assert "thickness" in str(figures(finding)["bake"])


def test_bodies_beyond_the_tables_are_refused() -> None:
    """No table above 2.0 mm was obtained."""
    with pytest.raises(InputError, match=r"2\.0 mm"):
        out_of_the_bag("3", 500, 2.01)


@pytest.mark.parametrize(("msl", "body"), [("2", 1.0), ("5a", 1.8)])
def test_without_a_row_no_bake_is_invented(msl: str, body: float) -> None:
    """The published table has no row for level 2, nor for level 5a above 1.4 mm."""
    finding = out_of_the_bag(msl, 9999, body)
    assert finding.verdict is Verdict.FAIL
    assert "bake_h" not in figures(finding)


def test_the_first_and_the_last_level() -> None:
    """Cosel technical note a0073: level 1 unlimited, level 6 baked before every use."""
    assert out_of_the_bag("1", 1e6).verdict is Verdict.PASS
    assert figures(out_of_the_bag("1", 1e6))["left_h"] == "unlimited"
    assert out_of_the_bag("6", 0).verdict is Verdict.FAIL


def test_longer_exposure_and_thicker_bodies_never_bake_shorter() -> None:
    """What holds down every column and along every row of the published table."""
    for thin, thick in ((a, b) for a in bakes().row for b in bakes().row if a.msl == b.msl):
        for oven in thin.over:
            assert thin.over[oven] >= thin.up_to_72[oven]
            if thin.body_mm_at_most < thick.body_mm_at_most:
                assert thick.over[oven] > thin.over[oven]
                assert thick.up_to_72[oven] > thin.up_to_72[oven]


@settings(max_examples=300)
@given(st.sampled_from(LEVELS), st.floats(0, 20000), st.floats(0.1, 2.0), st.sampled_from(("125", "90", "40")))
def test_a_part_may_be_used_or_must_not(msl: str, hours: float, body: float, oven: str) -> None:
    finding = out_of_the_bag(msl, hours, body, oven)
    found = figures(finding)
    if "bake_h" in found:
        assert (finding.verdict is Verdict.PASS) == (found["bake_h"] == 0)
        assert (finding.verdict is Verdict.PASS) == (hours <= float(found["floor_life_h"]))
