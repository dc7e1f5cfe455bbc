"""A refused scan is heard, unless the terminal's settings say that it is not to be."""

from __future__ import annotations

import pytest

from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands


@pytest.fixture(name="rung")
def _rung(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    rung: list[str] = []
    monkeypatch.setattr("traveller.screens.app.TravellerApp.bell", lambda _app: rung.append("bell"))
    return rung


async def refused_scans(hands: Hands, shop: SmallShop) -> None:
    """A label with one wrong character, a tag that this shop has not, and a unit while a sheet is open."""
    assert "Tomasz Reyes" in hands.text()
    tag = shop.unit(serial="bell")
    await hands.scan(f"{tag[:-1]}{'A' if tag[-1] != 'A' else 'C'}")
    assert "! " in hands.text()
    await hands.scan("U099991M")
    assert "! " in hands.text()
    await hands.scan(tag)
    await hands.press("f6", "n")
    await hands.scan(tag)
    assert "! " in hands.text()


async def test_a_refused_scan_rings_the_bell_each_time(shop: SmallShop, rung: list[str]) -> None:
    async with shop.terminal() as hands:
        await refused_scans(hands, shop)
        await hands.press("escape")
        await hands.scan(shop.late_meter)
        assert "OUT OF CALIBRATION" in hands.text()
        await hands.press("f2")
        await hands.scan(shop.shelf)
        assert "open a unit first" in hands.text()
    assert len(rung) == 5


async def test_a_scan_that_is_taken_rings_nothing(shop: SmallShop, rung: list[str]) -> None:
    tag = shop.unit(serial="quiet")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.scan(shop.meter)
    assert rung == []


async def test_the_bell_can_be_off(shop: SmallShop, rung: list[str]) -> None:
    async with shop.terminal() as hands:
        hands.app.settings = hands.app.settings.model_copy(update={"bell": False})
        await refused_scans(hands, shop)
    assert rung == []
