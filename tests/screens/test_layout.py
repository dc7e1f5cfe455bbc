"""Nothing that a person needs falls off the screen, from 80x24 to 160x50."""

from __future__ import annotations

import pytest
from textual.widgets import Input

from tests.screens.places import PLACES
from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands
from traveller.errors import Refused
from traveller.screens.page import Page
from traveller.screens.widgets.lines import Words
from traveller.vocabulary import UnitKind

SIZES = [(80, 24), (100, 30), (160, 50)]
LONG_REFUSAL = Refused(
    *(f"Reason {n} is a sentence of a length that reasons have in this workshop: put it right." for n in range(1, 9))
)


def seen_whole(hands: Hands, selector: str) -> bool:
    """Whether the widget lies inside the screen and nothing that holds it cuts it off."""
    screen = hands.app.screen
    place = screen.find_widget(screen.query_one(selector))
    whole = bool(place.region.area) and place.visible_region == place.region
    return whole and screen.region.contains_region(place.region)


WALKED = [((80, 24), kind) for kind in UnitKind] + [(size, UnitKind.AC_DRIVE) for size in SIZES[1:]]


@pytest.mark.parametrize(("size", "kind"), WALKED, ids=str)
async def test_the_answer_line_is_always_in_sight(shop: SmallShop, size: tuple[int, int], kind: UnitKind) -> None:
    tag = shop.unit(kind, serial=f"{kind}-{size[0]}")
    async with shop.terminal(size) as hands:
        await hands.scan(tag)
        page = hands.unit()
        hands.app.refuse(LONG_REFUSAL)
        assert page.view is not None
        checks = [one.check for one in page.view.proof.standings()]
        longest = sorted(checks, key=lambda one: len(f"{one.ask}{one.help}{one.caution}"))[-8:]
        for check in longest:
            page._station = check.station
            page._check = check.full_key
            page.typed.value = "0.62"
            page.paint(page.view)
            await hands.settle()
            assert seen_whole(hands, "#typed"), f"{check.full_key}\n{hands.text()}"
            assert page.query_one(Input).has_focus
            assert check.ask[:30] in " ".join(hands.text().split()), f"{check.full_key}\n{hands.text()}"
            verdict = " ".join(str(page.query_one("#verdict", Words).content).split())
            assert verdict.startswith(("✓ pass", "… ", "✗ ")), verdict
            assert verdict[:20] in " ".join(hands.text().split()), hands.text()


async def test_every_page_shows_its_keys_at_every_size(shop: SmallShop) -> None:
    """The keys of the page itself come first and are all there; those of the program follow while they fit."""
    tag = shop.unit(serial="keys")
    async with shop.terminal() as hands:
        for place, go in PLACES.items():
            await hands.press("f2")
            await go(hands, shop, tag)
            for width, height in (*SIZES[1:], SIZES[0]):
                await hands.pilot.resize_terminal(width, height)
                await hands.settle()
                assert len(hands.text().splitlines()) <= height
                assert_keys_in_sight(hands, place)
            if not isinstance(hands.app.screen, Page):
                await hands.press("escape")


def assert_keys_in_sight(hands: Hands, place: str) -> None:
    screen = hands.app.screen
    if not isinstance(screen, Page):
        assert "Esc leave" in hands.text(), place
        return
    last = hands.text().splitlines()[-1]
    own = [one.binding for one in screen.active_bindings.values() if one.node is screen]
    assert [one.key for one in own if one.show and one.description not in last] == [], place
    assert "Esc back" in last or screen.ROOT, place


async def test_the_list_stays_as_it_is_while_a_reading_is_typed(shop: SmallShop) -> None:
    """The limit stands there before, the verdict has its room, and the chosen line is in sight."""
    tag = shop.unit(serial="still")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.choose("goods_in.stored_charge")
        assert "limit -60 V to 60 V  source IEC 60204-1" in hands.text()
        rows = hands.text().splitlines()
        line = next(at for at, row in enumerate(rows) if row.startswith("─"))
        assert "Volts DC+ to DC−" in "".join(rows[:line])
        await hands.press("6")
        assert "✓ pass" in hands.text()
        assert hands.text().splitlines()[:line] == rows[:line]


async def test_siblings_have_their_limit_in_sight_before_they_are_measured(shop: SmallShop) -> None:
    tag = shop.unit(serial="siblings")
    async with shop.terminal((120, 40)) as hands:
        await hands.scan(tag)
        page = hands.unit()
        assert page.view is not None
        page._station, page._check = "component_work", "component_work.driver_supplies"
        page.paint(page.view)
        await hands.settle()
        assert "limit siblings within 10 % of their median  source" in hands.text()


async def test_the_end_of_a_long_line_is_in_sight(shop: SmallShop) -> None:
    tag = shop.unit(serial="long")
    async with shop.terminal() as hands:

        def typed() -> str:
            return next(row for row in hands.text().splitlines() if row.startswith(" ›"))

        await hands.scan(tag)
        await hands.press("i")
        await hands.paste("t began with words upon words, " * 6 + "and the end")
        assert "and the end" in typed() and "it began" not in typed()[:12]
        await hands.press("home")
        assert "and the end" not in typed() and "it began" in typed()[:12]
