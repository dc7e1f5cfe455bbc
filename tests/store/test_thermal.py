"""A thermal picture taken at a unit: every place judged, the worst answers the check, the work after it voids it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from demo.camera import PLACES, area_of, power_stage, write_table
from tests.small_shop import WARM, SmallShop, lay_sheets, opened
from tests.standing_of import standing_of
from traveller.errors import InputError, Refused
from traveller.judgement import Verdict
from traveller.record.acts.thermal import Conditions
from traveller.record.evidence import State
from traveller.record.thermal import read_area
from traveller.record.thermal_entries import Area, ThermalTaken
from traveller.record.view import UnitView

HOT = """
[[check]]
key = "hot"
ask = "Hottest place against its sibling"
kind = "calculation"
judge = "hot_spot.hot_spot"
instrument = "thermal camera"
"""
FULL = Conditions(ambient=26.0, load_fraction=1.0)
STAGE = [read_area(area_of(name), "stage") for name in PLACES]


@pytest.fixture(name="bench")
def _bench(database_url: str, tmp_path: Path) -> Iterator[tuple[SmallShop, str, str]]:
    """The shop, a unit that stands at the load test, and the tag of a camera."""
    shop = opened(database_url, tmp_path)
    shop = shop.at(shop.terminal("rig 1", lay_sheets(tmp_path / "with camera", load_test=WARM + HOT)))
    camera = shop.workshop.registry.register_instrument("camera 1", "thermal camera", date(2090, 1, 1), shop.lead)
    tag = shop.booked()
    for check in ("goods_in.seen", "diagnosis.link", "component_work.cleaned", "inspection.joints"):
        shop.answer(tag, check, "4" if check == "diagnosis.link" else "y")
        shop.workshop.move_on(tag, shop.who(check))
    yield shop, tag, camera
    shop.workshop.close()


def taken(bench: tuple[SmallShop, str, str], folder: Path, extra: float, areas: list[Area] | None = None) -> UnitView:
    shop, tag, camera = bench
    path = folder / f"{extra}.csv"
    write_table(path, power_stage(hot="Q4", extra=extra))
    read = shop.workshop.thermal.read(str(path))
    return shop.workshop.thermal.take(tag, shop.tester, read, FULL, STAGE if areas is None else areas, [camera])


def body_of(view: UnitView) -> ThermalTaken:
    body = view.unit.thermal[-1].body
    assert isinstance(body, ThermalTaken)
    return body


def test_a_hot_sibling_fails_the_unit(bench: tuple[SmallShop, str, str], tmp_path: Path) -> None:
    """18 K over its siblings is more than 15 K: "major" in ANSI/NETA MTS table 100.18, similar components."""
    view = taken(bench, tmp_path, 18.0)
    by_name = {seen.area.name: seen.finding for seen in body_of(view).seen}
    assert by_name["Q4"].verdict is Verdict.FAIL
    assert {name for name, finding in by_name.items() if finding.verdict is Verdict.FAIL} == {"Q4"}
    assert standing_of(view, "load_test.hot").state is State.FAILED
    assert any(reason.check == "load_test.hot" for reason in view.reasons)


def test_equal_siblings_pass_and_the_check_is_answered(bench: tuple[SmallShop, str, str], tmp_path: Path) -> None:
    view = taken(bench, tmp_path, 0.0)
    evidence = view.unit.current("load_test.hot")
    assert evidence is not None
    assert evidence.finding is not None
    assert evidence.finding.verdict is Verdict.PASS
    assert evidence.instruments[0].instrument_class == "thermal camera"


def test_work_after_the_picture_makes_its_proof_stale(bench: tuple[SmallShop, str, str], tmp_path: Path) -> None:
    shop, tag, _ = bench
    taken(bench, tmp_path, 0.0)
    shop.workshop.plan_work(tag, shop.technician, ["Q4"], "IGBT module", "failed")
    view = shop.workshop.fit(tag, "Q4", shop.technician, "IGBT module")
    assert standing_of(view, "load_test.hot").state is State.STALE


def test_the_kept_picture_says_the_same_temperatures(bench: tuple[SmallShop, str, str], tmp_path: Path) -> None:
    body = body_of(taken(bench, tmp_path, 12.0))
    grid = bench[0].workshop.thermal.grid(body.picture)
    assert (grid.width, grid.height) == body.size
    for seen in body.seen:
        assert grid.at(*seen.at) == pytest.approx(seen.hottest, abs=0.005)


def test_a_place_without_sibling_is_judged_over_ambient(bench: tuple[SmallShop, str, str], tmp_path: Path) -> None:
    body = body_of(taken(bench, tmp_path, 0.0, [read_area(area_of("Q1"))]))
    finding = body.seen[0].finding
    assert "over ambient" in finding.limit
    assert "over_similar_k" not in {one.name for one in finding.values}


def test_without_a_camera_in_hand_nothing_is_kept(bench: tuple[SmallShop, str, str], tmp_path: Path) -> None:
    shop, tag, _ = bench
    write_table(tmp_path / "grid.csv", power_stage())
    read = shop.workshop.thermal.read(str(tmp_path / "grid.csv"))
    with pytest.raises(Refused, match="Which thermal camera was used"):
        shop.workshop.thermal.take(tag, shop.tester, read, FULL, STAGE)
    assert shop.workshop.unit(tag).unit.thermal == []


def test_no_place_and_two_of_one_name_are_refused_in_words(bench: tuple[SmallShop, str, str], tmp_path: Path) -> None:
    with pytest.raises(InputError, match="Mark at least one place"):
        taken(bench, tmp_path, 0.0, [])
    with pytest.raises(InputError, match="Two places are called"):
        taken(bench, tmp_path, 0.0, [STAGE[0], STAGE[0]])


def test_before_the_load_test_the_picture_is_kept_and_answers_nothing(
    bench: tuple[SmallShop, str, str], tmp_path: Path
) -> None:
    shop, _, _ = bench
    tag = shop.booked()
    write_table(tmp_path / "grid.csv", power_stage())
    read = shop.workshop.thermal.read(str(tmp_path / "grid.csv"))
    view = shop.workshop.thermal.take(tag, shop.technician, read, FULL, STAGE)
    assert len(view.unit.thermal) == 1
    assert not view.unit.answers
