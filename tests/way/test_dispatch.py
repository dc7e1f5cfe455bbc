"""The clerk's way on the screens: pack, release, papers; and how many keys it takes."""

from __future__ import annotations

from contextlib import AbstractAsyncContextManager
from pathlib import Path

import pytest

from tests.way.answers import SOUND
from tests.way.hands import Hands, at_terminal
from tests.way.test_by_commands import Shop, booked_in, repaired
from traveller.record.view import UnitView
from traveller.screens.app import TravellerApp
from traveller.screens.gate import GatePage

PIN_KEYS = tuple("2468")
FEWER_THAN = 10


@pytest.fixture(name="shop")
def _shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Shop:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("TRAVELLER_STATIONS", raising=False)
    return Shop(tmp_path, f"sqlite:///{tmp_path / 'shop.sqlite'}")


def ready_to_leave(shop: Shop) -> str:
    tag = booked_in(shop)
    repaired(shop, tag)
    shop.answer_all(tag, shop.inspector, "inspection")
    shop.done(shop.inspector, "work", "verify", tag, "Q1,Q2,Q3,Q4,Q5,Q6,C17,K3")
    shop.done(shop.inspector, "move", tag)
    shop.answer_all(tag, shop.tester, "load_test")
    shop.done(shop.tester, "move", tag)
    for check in ("accessories_out", "settings", "report_read", "tag_on_papers", "leaving_photo"):
        shop.answer(tag, f"dispatch.{check}", shop.clerk, SOUND[f"dispatch.{check}"])
    return tag


def at_dispatch(shop: Shop, size: tuple[int, int] = (80, 24)) -> AbstractAsyncContextManager[Hands]:
    """At the clerk's terminal."""
    return at_terminal(TravellerApp(shop.url), shop.clerk, size, str(shop.picture))


@pytest.mark.parametrize("size", [(80, 24), (120, 40)], ids=["80x24", "120x40"])
async def test_from_the_scan_to_the_signed_label_in_under_ten_keys(
    size: tuple[int, int], shop: Shop, tmp_path: Path
) -> None:
    tag = ready_to_leave(shop)
    async with at_dispatch(shop, size) as hands:
        await hands.scan(shop.meters["scale"])
        await hands.scan(tag)
        await hands.press("f8", "p")
        await hands.scan(tag)
        await hands.fill(
            {
                "packages": "60x40x30 8.4",
                "shielded": "yes",
                "addressee": "Sandbeck; Mill Lane 4",
                "carrier": "Holt",
                "consignment": "77",
            }
        )
        assert "may leave" in hands.text(), hands.text()
        await hands.press("o")
        assert "DRAFTS (not released) in" in flat(hands), hands.text()
        await hands.press("f10")
        assert f"Release {tag}" in hands.text(), "who signs sees for which unit"
        await hands.press("escape", "escape", "f2")

        await hands.scan(tag)
        keys = ("f8", "f10", *PIN_KEYS, "f10", "o")
        assert len(keys) < FEWER_THAN
        await hands.press(*keys)
        assert "address-1.png" in hands.text(), hands.text()
        assert "DRAFTS" not in hands.text()
        assert "pack" not in hands.text().splitlines()[-1], "nothing can be done on a sealed traveller but its papers"
    folder = tmp_path / "home" / "papers" / tag
    assert {one.name for one in folder.iterdir()} == {
        "report.pdf",
        "warranty.pdf",
        "packing-list.pdf",
        "address-1.png",
    }
    assert "agree" in shop.done(shop.lead, "verify", str(folder / "report.pdf"))


def flat(hands: Hands) -> str:
    """What stands on the screen as one line."""
    return " ".join(hands.text().split())


async def test_the_gate_is_whole_though_the_screen_is_painted_before_its_rows_were_measured(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    fill = GatePage.paint
    seen: list[str] = []

    def painted_at_once(page: GatePage, view: UnitView) -> None:
        fill(page, view)
        seen.append(page.table.render_line(0).text)

    monkeypatch.setattr(GatePage, "paint", painted_at_once)
    tag = booked_in(shop)
    async with at_dispatch(shop) as hands:
        await hands.scan(tag)
        await hands.press("f8")
        assert all("hazard: stored charge (presumed until measured)" in line for line in seen), seen
        await hands.pilot.resize_terminal(120, 40)
        await hands.settle()
        assert "clear it" in hands.text().splitlines()[2], "a wider screen takes a reason on one line"


async def test_the_wrong_unit_in_hand_is_said_and_nothing_typed_is_lost(shop: Shop) -> None:
    tag, other = ready_to_leave(shop), booked_in(shop)
    async with at_dispatch(shop) as hands:
        await hands.scan(tag)
        await hands.press("f8", "p")
        await hands.scan(other)
        await hands.paste("60x40x30 8.4")
        for line, typed in {"shielded": "yes", "carrier": "Holt", "consignment": "77"}.items():
            hands.app.screen.query_one(f"#line-{line}").focus()
            await hands.paste(typed)
        await hands.press("f10")
        assert "tag in hand is" in hands.text().replace("\n", " "), hands.text()
        await hands.scan(tag)
        await hands.press("f10")
        assert "Which scale" in hands.text(), hands.text()
        assert "60x40x30 8.4" in hands.text()
