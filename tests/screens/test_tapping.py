"""A tablet has no function keys: whatever a key does can be tapped. Source: common practice."""

from __future__ import annotations

from textual.widget import Widget

from tests.screens.places import fields
from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands
from traveller.screens.bench import BenchPage
from traveller.screens.gate import GatePage
from traveller.screens.sheet_of_fields import SheetOfFields
from traveller.screens.widgets.check_list import CheckList
from traveller.screens.widgets.lines import KeyBar
from traveller.screens.widgets.taps import FixedTaps, TouchRow


async def tap(hands: Hands, where: type[Widget], words: str) -> None:
    """On the first character of the words as they stand on the screen, inside the widget."""
    widget = hands.app.screen.query_one(where)
    x, y, *_ = widget.region
    line = hands.text().splitlines()[y]
    assert words in line, line
    await hands.pilot.click(where, offset=(line.index(words) - x, 0))
    await hands.settle()


async def test_the_keys_at_the_foot_are_pressed_by_a_tap(shop: SmallShop) -> None:
    tag = shop.unit(serial="tapped")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.paste("half an answer")
        await tap(hands, KeyBar, "gate")
        assert isinstance(hands.app.screen, GatePage)
        await tap(hands, KeyBar, "Esc")
        assert hands.unit().typed.has_focus
        assert fields(hands) == ["half an answer"]
        await tap(hands, KeyBar, "F6")
        assert "Esc leave" in hands.text()
        await hands.press("h")
        assert isinstance(hands.app.screen, SheetOfFields)
        await hands.paste("no rig")
        await tap(hands, FixedTaps, "F10")
        assert "is still empty" in hands.text()
        await tap(hands, FixedTaps, "leave")
        assert hands.unit().typed.has_focus


async def test_a_tap_behind_the_last_key_presses_nothing(shop: SmallShop) -> None:
    async with shop.terminal((160, 30)) as hands:
        before = hands.text()
        await hands.pilot.click(KeyBar, offset=(158, 0))
        await hands.settle()
        assert isinstance(hands.app.screen, BenchPage)
        assert hands.text() == before


async def test_a_tapped_check_is_the_chosen_one(shop: SmallShop) -> None:
    tag = shop.unit(serial="tapped check")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        page = hands.unit()
        first, second = page.chosen_check(), page.checks.keys[page.checks.keys.index(page.chosen_check()) + 1]
        await hands.paste("warm")
        await hands.pilot.click(CheckList, offset=(20, page.checks.cursor_row - page.checks.scroll_offset.y + 1))
        await hands.settle()
        assert page.chosen_check() == second
        assert fields(hands) == [""]
        assert page.typed.has_focus
        await hands.choose(first)
        assert fields(hands) == ["warm"]


async def test_a_served_terminal_has_the_keys_that_a_tablet_lacks(shop: SmallShop) -> None:
    tag = shop.unit(serial="touched")
    async with shop.terminal() as hands:
        assert not hands.app.screen.query_one(TouchRow).display
        await hands.scan(tag)
        hands.unit().add_class("-touch")
        await hands.settle()
        at = hands.unit().chosen_check()
        await tap(hands, TouchRow, "↓")
        assert hands.unit().chosen_check() != at
        await tap(hands, TouchRow, "↑")
        assert hands.unit().chosen_check() == at
        await hands.press("4")
        await tap(hands, TouchRow, "⌫")
        assert fields(hands) == [""]
        station = hands.unit().heading
        await tap(hands, TouchRow, "page ↓")
        assert hands.unit().heading != station
        await tap(hands, TouchRow, "Esc")
        assert isinstance(hands.app.screen, BenchPage)
