"""A scan does its work on every screen and leaves no trace in any field.

A wedge scanner is a keyboard: it sends the characters of the code one behind the other and Enter. Gaps,
bracketed paste (ESC [200~) and STX in front are the three ways in which terminals hand such keys on.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable

import pytest
from textual import events

from tests.screens.places import PLACES, SHEETS, everywhere, fields
from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands
from traveller.screens.unit import UnitPage

Scanner = Callable[[Hands, str], Awaitable[None]]


async def as_paste(hands: Hands, tag: str) -> None:
    await hands.paste(f"{tag}\r")


async def with_stx(hands: Hands, tag: str) -> None:
    hands.app.post_message(events.Key("ctrl+b", "\x02"))
    await hands.scan(tag)


async def as_keys(hands: Hands, tag: str) -> None:
    await hands.scan(tag)


@pytest.fixture(scope="module", name="here")
def _here(shop: SmallShop) -> str:
    return shop.unit()


@pytest.fixture(scope="module", name="other")
def _other(shop: SmallShop) -> str:
    return shop.unit(serial="8841-208")


@pytest.mark.parametrize("place", PLACES)
async def test_a_scan_works_wherever_somebody_is(shop: SmallShop, here: str, other: str, place: str) -> None:
    before = shop.workshop.unit(here)
    async with shop.terminal() as hands:
        await PLACES[place](hands, shop, here)
        typed = everywhere(hands)
        screen = hands.app.screen

        await as_keys(hands, shop.meter)
        assert list(hands.app.in_hand) == ["multimeter"]
        await as_paste(hands, shop.late_meter)
        assert "lcr meter" in hands.app.in_hand
        await with_stx(hands, shop.inspector)
        assert hands.app.by == shop.inspector
        await as_keys(hands, "4006381333931")
        assert hands.app.screen is screen
        assert everywhere(hands) == typed

        await as_keys(hands, other)
        if place in SHEETS:
            assert hands.app.screen is screen
            assert "Finish this sheet" in hands.text()
            assert everywhere(hands) == typed
        else:
            assert hands.unit().tag == other
            assert fields(hands) == [""]
    assert shop.workshop.unit(here).entries == before.entries


async def test_on_the_first_screen_a_scan_signs_on_and_what_was_scanned_before_opens(
    shop: SmallShop, here: str
) -> None:
    async with shop.terminal(badge="") as hands:
        await hands.paste("Tom")
        await as_keys(hands, here)
        assert "scan your badge" in hands.text()
        assert fields(hands)[0] == "Tom"
        await with_stx(hands, shop.technician)
        assert hands.unit().tag == here
        assert fields(hands) == [""]


async def test_a_badge_scanned_over_the_first_screen_leads_to_the_bench(shop: SmallShop) -> None:
    async with shop.terminal(badge="") as hands:
        await hands.press("f1")
        await hands.scan(shop.technician)
        await hands.press("escape")
        assert "Goods-in bench" in hands.text()


async def test_a_shelf_is_where_the_open_unit_lies(shop: SmallShop, here: str) -> None:
    async with shop.terminal() as hands:
        await hands.scan(shop.shelf)
        assert "open a unit first" in hands.text()
        await hands.scan(here)
        await hands.paste("1")
        await as_paste(hands, shop.shelf)
        assert "put on shelf A3" in hands.text()
        assert fields(hands) == ["1"]
    assert shop.workshop.unit(here).unit.place == shop.shelf


async def test_what_is_no_tag_of_this_shop_is_a_sentence(shop: SmallShop, here: str) -> None:
    slip = here[:5] + ("9" if here[5] != "9" else "8") + here[6:]
    async with shop.terminal() as hands:
        await hands.scan(slip)
        assert f'"{slip}" is not a tag' in " ".join(hands.text().split())
        assert f"there is {here}" in " ".join(hands.text().split())
        await hands.scan("4006381333931")
        assert '"4006381333931" is not a tag' in " ".join(hands.text().split())


async def test_the_tag_goes_into_the_line_where_a_check_asks_for_it(shop: SmallShop, here: str) -> None:
    async with shop.terminal() as hands:
        await hands.scan(here)
        await hands.choose("goods_in.tag_fixed")
        await hands.scan(here)
        assert fields(hands) == [here]
        assert "goods_in.tag_fixed" not in shop.workshop.unit(here).unit.answers


async def test_a_person_who_types_is_not_a_scanner(shop: SmallShop, here: str) -> None:
    """80 ms a key is a fast typist; five characters at a burst are still an answer (a scan has six)."""
    async with shop.terminal() as hands:
        await hands.scan(here)
        for character in shop.meter:
            await hands.press(character)
        assert fields(hands) == [shop.meter]
        assert not hands.app.in_hand
        hands.unit().typed.value = ""
        await hands.choose("goods_in.months_without_power")
        await hands.scan("30.25")
        assert shop.workshop.unit(here).unit.current("goods_in.months_without_power") is not None


@pytest.mark.parametrize("badge", [as_keys, with_stx])
async def test_a_scan_with_every_gap_leaves_the_line_alone(shop: SmallShop, here: str, badge: Scanner) -> None:
    """Also when the badge came from another scanner, one that sends STX, so that keys are not held back any more."""
    async with shop.terminal() as hands:
        await badge(hands, shop.technician)
        await hands.scan(here)
        await hands.paste("0.6")
        for gap in (0.0, 0.008, 0.016):
            await hands.scan(shop.meter, gap)
            assert fields(hands) == ["0.6"]
        assert isinstance(hands.app.screen, UnitPage)


@pytest.mark.parametrize(("badge", "key"), [(as_keys, "4"), (with_stx, "u")])
async def test_a_key_that_begins_no_scan_is_in_the_line_at_once(
    shop: SmallShop, here: str, badge: Scanner, key: str
) -> None:
    """Behind a scanner that sends STX no key does."""
    async with shop.terminal() as hands:
        await badge(hands, shop.technician)
        await hands.scan(here)
        hands.app.post_message(events.Key(key, key))
        await hands.pilot.pause()
        assert not hands.app._gate.holding
        assert await hands.comes(lambda: fields(hands) == [key])


async def test_a_foreign_code_leaves_what_is_marked_in_a_line(shop: SmallShop, here: str) -> None:
    async with shop.terminal() as hands:
        await hands.scan(here)
        await hands.paste("0.62")
        hands.unit().typed.select_all()
        await hands.scan("4006381333931", 0.008)
        assert fields(hands) == ["0.62"]
