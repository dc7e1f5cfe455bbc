"""Marking a thermal picture by keyboard, with colour and without."""

from __future__ import annotations

from pathlib import Path

import pytest

from demo.camera import power_stage, write_table
from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands
from traveller.record.thermal_entries import ThermalTaken


@pytest.fixture(name="picture")
def _picture(tmp_path: Path) -> Path:
    path = tmp_path / "stage.csv"
    write_table(path, power_stage(hot="Q4", extra=20.0))
    return path


async def open_marking(hands: Hands, tag: str, picture: Path) -> None:
    await hands.scan(tag)
    await hands.press("f6", "v", "a")
    for line in (str(picture), "26", "", "", "", "", ""):
        await hands.paste(line)
        await hands.enter()


async def mark(hands: Hands, name: str, across: int, down: int) -> None:
    """A place of 4 × 3 cells from where the cross goes."""
    await hands.rounds(across, "right")
    await hands.rounds(down, "down")
    await hands.press("enter")
    await hands.press("right", "right", "right", "down", "down", "enter")
    await hands.paste(name)
    await hands.enter()
    await hands.enter()


@pytest.mark.parametrize("plain", [False, True])
async def test_places_are_marked_and_the_hot_one_is_named(
    shop: SmallShop, picture: Path, plain: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    if plain:
        monkeypatch.setenv("NO_COLOR", "1")
    tag = shop.unit()
    async with shop.terminal((80, 24)) as hands:
        await open_marking(hands, tag, picture)
        assert "Arrows move the cross" in hands.text()
        assert ("▀" in hands.text()) is not plain
        await mark(hands, "upper", 4, 2)
        await mark(hands, "lower", 0, 5)
        await hands.press("f10")
        shown = hands.text()
    assert "picture 1 of 1" in shown
    assert shown.index("lower     ") < shown.index("upper     "), "the worst place stands first"
    assert "✗ fail" in shown
    view = shop.workshop.unit(tag)
    body = view.unit.thermal[-1].body
    assert isinstance(body, ThermalTaken)
    assert [seen.area.name for seen in body.seen] == ["upper", "lower"]
    assert {seen.area.siblings for seen in body.seen} == {"set 1"}


async def test_a_file_that_is_none_is_said_on_the_sheet_and_nothing_typed_is_lost(shop: SmallShop) -> None:
    tag = shop.unit()
    async with shop.terminal() as hands:
        await open_marking(hands, tag, Path("nowhere.csv"))
        assert "nowhere.csv" in hands.text()
        assert "is not a file" in hands.text()
        assert "26" in hands.text()
