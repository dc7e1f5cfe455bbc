"""The whole way of a unit in the terminal, by keyboard and scans alone, at two sizes."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.way.answers import NAMEPLATE, RATINGS
from tests.way.hands import Hands, at_terminal
from tests.way.test_by_commands import Shop
from traveller.screens.app import TravellerApp


@pytest.mark.parametrize(
    ("size", "engine_name"),
    [((80, 24), "sqlite"), ((120, 40), "postgresql")],
    ids=["80x24-sqlite", "120x40-postgresql"],
)
async def test_a_unit_goes_the_whole_way_on_the_screens(
    size: tuple[int, int],
    engine_name: str,
    request: pytest.FixtureRequest,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("TRAVELLER_STATIONS", raising=False)
    file = f"sqlite:///{tmp_path / 'shop.sqlite'}"
    shop = Shop(tmp_path, file if engine_name == "sqlite" else request.getfixturevalue("postgresql_url"))
    async with at_terminal(TravellerApp(shop.url), shop.technician, size, str(shop.picture)) as hands:
        await hands.press("1")
        tag = await _booked_in(hands)
        for meter in shop.meters.values():
            await hands.scan(meter)
        await _repaired(hands)
        await _sent_back_by_inspection(hands, shop)
        await _sent_back_by_load_test(hands, shop)
        await _released(hands, shop)
    assert shop.unit(tag)["released"]
    assert "fits" in shop.done(shop.lead, "verify")


async def _booked_in(hands: Hands) -> str:
    await hands.press("f5")
    await hands.fill({**NAMEPLATE, "kind": "1", **RATINGS})
    page = hands.unit()
    assert "Booked in" in hands.text()
    assert "! STORED CHARGE" in hands.text()
    return page.tag


async def _repaired(hands: Hands) -> None:
    await hands.press("f10")
    assert "not answered" in hands.text()
    await hands.answer_what_is_open()
    assert "! STORED CHARGE" not in hands.text()
    await hands.press("f10")
    await hands.answer_what_is_open()
    await hands.choose("diagnosis.diode_test")
    await hands.answer("volts=0.41 OL 0.41 0.42 0.41 0.42 rule=transistor module")
    await hands.press("f7", "a")
    await hands.fill(
        {
            "places": "Q3",
            "part": "IGBT module",
            "reason": "failed",
            "set": "power stage",
            "siblings": "Q1,Q2,Q4,Q5,Q6",
        }
    )
    await hands.press("a")
    await hands.fill({"places": "C17,K3", "part": "aged part", "reason": "aged"})
    await hands.press("escape", "f10")
    await hands.work(["Q3", "Q1", "Q2", "Q4", "Q5", "Q6", "C17", "K3"], "f", {"part": "as planned", "lot": "2631"})
    await _redone(hands)
    await hands.press("f10")
    assert "Inspection" in hands.text().splitlines()[0], hands.text()


async def _redone(hands: Hands) -> None:
    """What the work made stale: diagnosis on the page before, then component work."""
    await hands.press("pageup")
    await hands.answer_what_is_open()
    await hands.press("pagedown")
    await hands.answer_what_is_open()


async def _sent_back_by_inspection(hands: Hands, shop: Shop) -> None:
    await hands.scan(shop.inspector)
    await hands.answer_what_is_open()
    await hands.choose("inspection.joints")
    await hands.answer("n")
    await hands.work(["Q4"], "r", {"why": "joint open"})
    await hands.choose("inspection.joints")
    await hands.act("b", {"station": "Component work", "found": "open joint at Q4"})
    await hands.scan(shop.technician)
    await hands.work(["Q4"], "f", {"part": "resoldered"})
    await _redone(hands)
    await hands.press("f10")
    assert "↻ stale" in hands.text()
    await hands.scan(shop.inspector)
    await hands.answer_what_is_open()
    await hands.work(["Q3", "Q1", "Q2", "Q4", "Q5", "Q6", "C17", "K3"], "v")
    await hands.act("p", {"which": "1", "how": "joint seen, sound"})
    await hands.press("f10")
    assert "Load test" in hands.text().splitlines()[0], hands.text()


async def _sent_back_by_load_test(hands: Hands, shop: Shop) -> None:
    await hands.scan(shop.tester)
    await hands.answer_what_is_open()
    await hands.choose("load_test.hot_spot")
    await hands.answer("spot=84 similar=57 ambient=24 load_fraction=1")
    await hands.choose("load_test.hot_spot")
    await hands.act("b", {"station": "Diagnosis", "found": "phase U runs 27 K hotter"})
    await hands.scan(shop.technician)
    await hands.answer_what_is_open()
    await hands.press("f10")
    await hands.work(["Q1"], "f", {"part": "set anew, compound renewed"})
    await _redone(hands)
    await hands.press("f10")
    await hands.scan(shop.inspector)
    await hands.answer_what_is_open()
    await hands.work(["Q1"], "v")
    await hands.press("f10")
    await hands.scan(shop.tester)
    await hands.answer_what_is_open()
    await hands.act("p", {"which": "1", "how": "hot spot gone after rework"})
    await hands.press("f10")
    assert "Dispatch" in hands.text().splitlines()[0], hands.text()


async def _released(hands: Hands, shop: Shop) -> None:
    await hands.scan(shop.clerk)
    await hands.press("f8")
    assert "may not leave" in hands.text()
    await hands.press("escape")
    await hands.answer_what_is_open()
    await hands.press("f8")
    assert "may leave" in hands.text()
    await hands.press("f10")
    await hands.fill({"pin": "2468"})
    assert "sealed" in hands.text()
