"""The page of the figures, and linking a unit that came back, by keyboard."""

from __future__ import annotations

from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands


async def open_figures(hands: Hands) -> None:
    await hands.press("f3", "f")


async def test_the_figures_stand_on_a_page_of_their_own(shop: SmallShop) -> None:
    shop.unit(serial="8841-301")
    for size in ((80, 24), (120, 40)):
        async with shop.terminal(size) as hands:
            await open_figures(hands)
            text = hands.text()
            assert "1 unit in work" in text
            assert "first pass" in text
            assert "goods in" in text
            await hands.press("end")
            assert "instruments due within 30 days" in hands.text()
            assert "LATE by" in hands.text()
            await hands.press("escape")
            assert "figures" in hands.text(), "the key that opens it stands on the floor"


async def test_a_unit_that_was_never_here_is_told_so(shop: SmallShop) -> None:
    tag = shop.unit(serial="8841-302")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6", "y")
        assert "No released traveller has this serial number" in hands.text()


async def test_the_sheet_of_packing_can_be_read_and_filled_at_80x24(shop: SmallShop) -> None:
    tag = shop.unit(serial="8841-303")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f8", "p")
        assert "Scan the tag on the unit in hand" in hands.text()
        await hands.scan(tag)
        assert tag in hands.text()
        for _ in range(8):
            await hands.press("down")
        assert "F10 done" in hands.text()
        await hands.press("f10")
        assert "packages is still empty" in hands.text()
