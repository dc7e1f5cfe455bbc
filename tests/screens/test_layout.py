"""Nothing that a person needs falls off the screen, from 80x24 to 160x50."""

from __future__ import annotations

import pytest
from textual.widgets import Input

from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands
from traveller.errors import Refused
from traveller.vocabulary import UnitKind

SIZES = [(80, 24), (100, 30), (160, 50)]
LONG_REFUSAL = Refused(
    *(f"Reason {n} is a sentence of a length that reasons have in this workshop: put it right." for n in range(1, 9))
)


def seen_whole(hands: Hands, selector: str) -> bool:
    """Whether the widget lies inside the screen and nothing that holds it cuts it off."""
    screen = hands.app.screen
    place = screen.find_widget(screen.query_one(selector))
    return bool(place.region.area) and place.visible_region == place.region and place.region in screen.region


@pytest.mark.parametrize("size", SIZES, ids=str)
@pytest.mark.parametrize("kind", list(UnitKind), ids=str)
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
            assert page.query_one("#verdict").region.y < hands.app.screen.query_one("#foot").region.y
