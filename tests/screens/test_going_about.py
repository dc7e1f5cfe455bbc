"""Going from page to page: nothing piles up, nothing is opened twice, every list fits."""

from __future__ import annotations

import gc
from dataclasses import replace

import pytest
from textual import events
from textual.widget import Widget
from textual.widgets import OptionList

from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands
from traveller.screens.page import Page
from traveller.screens.unit import UnitPage


@pytest.fixture(scope="module", name="tag")
def _tag(shop: SmallShop) -> str:
    return shop.unit()


def pages(hands: Hands) -> list[str]:
    return [type(screen).__name__ for screen in hands.app.screen_stack[1:]]


@pytest.mark.parametrize("key", ["f1", "f3", "f4", "f11", "f12"])
async def test_a_page_that_is_open_is_not_opened_again(shop: SmallShop, tag: str, key: str) -> None:
    async with shop.terminal() as hands:
        await hands.press(key, key)
        assert len(pages(hands)) == 2
        page = hands.app.screen
        await hands.scan(tag)
        await hands.press(key)
        assert hands.app.screen is page
        assert len(pages(hands)) == 2


async def test_units_do_not_pile_up(shop: SmallShop, tag: str) -> None:
    other = shop.unit(serial="8841-209")
    async with shop.terminal() as hands:
        for one in (tag, other, tag):
            await hands.scan(one)
            await hands.press("f7")
            await hands.press("f3")
        await hands.scan(other)
        assert pages(hands).count("UnitPage") == 1
        assert len(pages(hands)) <= 4


async def test_keys_before_anybody_signed_on_say_what_to_do(shop: SmallShop) -> None:
    async with shop.terminal(badge="") as hands:
        for key in ("f2", "f3", "f4", "f5", "f11"):
            await hands.press(key)
            assert pages(hands) == ["SignOn"]
            assert "Scan your badge first." in hands.text()
        await hands.press("escape", "f6", "f9", "f10")
        assert pages(hands) == ["SignOn"]


async def test_every_act_can_be_read_and_reached_at_80x24(shop: SmallShop, tag: str) -> None:
    shop.workshop.ask(tag, shop.technician, "who has the cable?")
    shop.workshop.raise_nonconformity(tag, shop.technician, "cover bent")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6")
        acts = hands.app.screen.query_one(OptionList)
        first = str(acts.get_option_at_index(0).prompt)
        last = str(acts.get_option_at_index(acts.option_count - 1).prompt)
        assert first.strip()[:20] in hands.text()
        assert "Esc leave" in hands.text()
        await hands.press("end")
        assert last.strip()[:20] in hands.text()


async def test_move_on_names_a_few_reasons_and_counts_the_rest(shop: SmallShop) -> None:
    tag = shop.unit(serial="8841-210")
    waiting = len(shop.workshop.unit(tag).blockers)
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f10")
        assert f"and {waiting - 3} more: F8 lists them" in hands.text()


async def test_the_key_bar_and_the_pages_leave_nothing_behind(shop: SmallShop) -> None:
    """The stock footer keeps its keys for ever (about 0.2 MB a change of focus); here the counts stay flat.

    Counted from the most that the toolkit holds in the first rounds of the same keys: it keeps some pages just left,
    measured 84 to 112 widgets after 15 rounds as after 120.
    """

    def count() -> tuple[int, int, int]:
        gc.collect()
        mounted = sum(1 for _ in hands.app.screen.walk_children())
        alive = sum(isinstance(one, (Widget, Page)) for one in gc.get_objects())
        return mounted, alive, len(hands.app.screen.bindings_updated_signal._subscriptions)

    async with shop.terminal() as hands:
        await hands.press("f3", "f7")
        first = []
        for _ in range(4):
            await hands.rounds(15, "tab", "f1", "tab", "escape")
            first.append(count())
        before = (first[-1][0], max(alive for _, alive, _ in first), first[-1][2])
        await hands.rounds(140, "tab")
        await hands.rounds(15, "tab", "f1", "tab", "escape")
        after = count()
        assert after[0] == before[0]
        assert after[1] <= before[1] + 20, "two pages just left may still be held; a leak holds hundreds"
        assert after[2] == before[2]
        assert pages(hands) == ["BenchPage", "FloorPage"]


async def test_live_news_reaches_the_other_terminal(shop: SmallShop) -> None:
    """The bound is 1.5 s for a change made at another terminal (SQLite is looked at every 0.3 s)."""
    tag = shop.unit(serial="8841-211")
    async with shop.terminal() as mine, shop.terminal() as theirs:
        await mine.scan(tag)
        await theirs.scan(tag)
        await mine.choose("goods_in.months_without_power")
        await mine.paste("12")
        await theirs.paste("hot")
        await theirs.enter()
        assert await mine.sees("✓ pass"), mine.text()
        assert isinstance(mine.app.screen, UnitPage)
        assert mine.unit().typed.value == "12"


async def test_the_page_goes_with_the_unit_though_the_live_view_was_quicker(shop: SmallShop) -> None:
    """With PostgreSQL the news of one's own move may be painted before the act itself has come back."""
    tag = shop.unit(serial="8841-212")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        page = hands.unit()
        assert page.view
        moved = replace(page.view, unit=replace(page.view.unit, station="diagnosis"))
        page.paint(moved)
        assert "Goods-in" in hands.text().splitlines()[0], "the live view alone does not turn the page"
        page.acted(moved, "moved on")
        await hands.sees("Diagnosis")
        assert "Diagnosis" in hands.text().splitlines()[0], hands.text()


async def test_a_key_that_the_old_page_gave_back_waits_for_the_new_one(shop: SmallShop, tag: str) -> None:
    """A page hands back what it has no use for, and by then the next one may lie there and not be made yet."""
    other = shop.unit(serial="8841-213")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        given_back = events.Key("down", None)
        given_back._set_forwarded()
        with hands.app._context():
            hands.app.post_message(given_back)
            hands.app.open_unit(other, first=shop.workshop.unit(other))
        await hands.settle()
        page = hands.unit()
        assert page.tag == other
        assert page.chosen_check() == page.checks.keys[1]
