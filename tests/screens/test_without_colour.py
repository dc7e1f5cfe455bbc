"""Every state tells itself by sign and word; colour only helps (about one man in twelve cannot tell red from
green: IEC 60073 asks for a second means beside colour)."""

from __future__ import annotations

import pytest
from rich.color import ColorType
from rich.segment import Segment
from textual.theme import Theme

from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands, at_terminal
from traveller.record.evidence import Standing, State
from traveller.screens.app import TravellerApp
from traveller.screens.looks import LOOKS
from traveller.screens.words import KEPT_SIGN, SIGNS, state_words
from traveller.terminal import Settings, save_settings

HEAD = 6  # the lines above the list of checks


@pytest.fixture(scope="module", name="tag")
def _tag(shop: SmallShop) -> str:
    return shop.unit()


async def test_each_state_is_told_by_sign_and_word(shop: SmallShop, tag: str, monkeypatch: pytest.MonkeyPatch) -> None:
    told: dict[State, str] = {}
    async with shop.terminal((120, 40)) as hands:
        await hands.scan(tag)
        page = hands.unit()
        assert page.view is not None
        checks = [one.check for one in page.view.standings("goods_in")]
        states = [Standing(check, state, None) for check, state in zip(checks, State, strict=False)]
        assert len(states) == len(State)
        monkeypatch.setattr(page, "standings", lambda: states)
        page.paint(page.view)
        await hands.settle()
        for standing in states:
            rows = hands.text().splitlines()[HEAD:]
            line = next(line for line in rows if standing.check.ask[:20] in line)
            told[standing.state] = line.strip()[:11].strip()
    assert told == {one.state: state_words(one) for one in states}
    assert len(set(told.values())) == len(State)


def test_the_help_explains_every_sign() -> None:
    assert {state.sign for state in State} | {KEPT_SIGN} == {sign for sign, _, _ in SIGNS}


def colours(hands: Hands) -> set[ColorType]:
    """The kinds of colour that the screen sends to the terminal."""
    strips = hands.app.screen._compositor.render_strips()
    styles = [segment.style for strip in strips for segment in strip if segment.style]
    return {one.type for style in styles for one in (style.color, style.bgcolor) if one}


async def test_without_colour_the_words_are_the_same(
    shop: SmallShop, tag: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """NO_COLOR as no-color.org states it: present and not empty means no colour is added to the output."""
    async with shop.terminal() as hands:
        await hands.scan(tag)
        coloured = hands.text()
        assert ColorType.TRUECOLOR in colours(hands)
    monkeypatch.setenv("NO_COLOR", "1")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        assert hands.app.no_color
        assert hands.text() == coloured
        assert colours(hands) <= {ColorType.DEFAULT, ColorType.STANDARD}


@pytest.mark.parametrize("look", LOOKS, ids=lambda look: look.name)
async def test_every_look_can_be_chosen(shop: SmallShop, look: Theme) -> None:
    save_settings(Settings(look=look.name))
    app = TravellerApp(shop.url)
    async with at_terminal(app) as hands:
        assert app.theme == look.name
        assert "Scan your badge" in hands.text()


def stands_out(part: Segment) -> bool:
    style = part.style
    return bool(style and (style.reverse or style.underline) and len(part.text.strip()) > 5)


@pytest.mark.parametrize("keys", [["f2"], ["f3"], ["f12"], ["f6", "down"]], ids=lambda keys: str(keys[0]))
async def test_the_chosen_row_stands_out_without_colour(
    shop: SmallShop, tag: str, monkeypatch: pytest.MonkeyPatch, keys: list[str]
) -> None:
    """Exactly one row of the list is reversed or underlined; the key bar (the last line) is all reversed keys."""
    monkeypatch.setenv("NO_COLOR", "1")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press(*keys)
        strips = hands.app.screen._compositor.render_strips()[1:-1]
        standing_out = [strip for strip in strips if any(map(stands_out, strip))]
        assert len(standing_out) == 1, hands.text()
