"""Text can be read in every look, on every page: contrast against its own ground, as it is sent to the terminal.

Source of formula and figures: WCAG 2.2, relative luminance; 1.4.3 (at least 4.5:1), 1.4.6 (enhanced, at least 7:1),
the second for the look that is called the one with high contrast.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from rich.color import Color
from rich.style import Style
from textual.strip import Strip

from tests.screens.places import PLACES
from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands
from traveller.screens.looks import LOOKS
from traveller.screens.page import Page

LEAST = {"bench-dark": 4.5, "bench-light": 4.5, "bench-contrast": 7.0}
READ = ("unit", "sheet", "floor", "siblings", "help")
"""Pages that between them show every kind of word: heads, tables, hints, cautions, quiet words, chosen rows."""


def is_drawn(character: str) -> bool:
    """Lines, bars, dots and Braille dots of curves are no text."""
    return "\u2500" <= character <= "\u25ff" or "\u2800" <= character <= "\u28ff" or character in "·•"


def luminance(color: Color) -> float:
    shares = [part / 255 for part in color.get_truecolor()]
    linear = [one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in shares]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: Color, other: Color) -> float:
    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_published_values() -> None:
    """W3C, Understanding 1.4.3: black on white is 21:1; #777777 on white is 4.48:1, just too little."""
    white = Color.parse("#ffffff")
    assert contrast(Color.parse("#000000"), white) == pytest.approx(21.0)
    assert contrast(Color.parse("#777777"), white) == pytest.approx(4.48, abs=0.005)


def lines_that_count(hands: Hands) -> list[Strip]:
    """The lines of the page; of a sheet only its own part, since what lies below it is not in use."""
    strips = hands.app.screen._compositor.render_strips()
    if isinstance(hands.app.screen, Page):
        return strips
    paper = hands.app.screen.query_one("#paper").region
    return [one.crop(paper.x, paper.right) for one in strips[paper.y : paper.bottom]]


def faint(hands: Hands, least: float) -> Iterator[str]:
    """What has less contrast than it should; words that the terminal would have to dim itself count as faint."""
    ground = hands.app.screen.background_colors[1]
    for strip in lines_that_count(hands):
        segments = list(strip)
        for one in hands.app.get_line_filters():
            segments = one.apply(segments, ground)
        for segment in segments:
            style = segment.style or Style()
            words = "".join(one for one in segment.text if not is_drawn(one)).strip()
            if words and style.color and style.bgcolor:
                got = contrast(style.color, style.bgcolor)
                if got < least or style.dim:
                    yield f"{got:.2f} {style}: {words[:40]!r}"


async def test_every_kind_of_word_has_contrast_enough_in_every_look(shop: SmallShop) -> None:
    tag = shop.unit(serial="contrast")
    found: dict[str, list[str]] = {}
    async with shop.terminal() as hands:
        for place in READ:
            await hands.press("f2")
            await PLACES[place](hands, shop, tag)
            for look in LOOKS:
                hands.app.theme = look.name
                await hands.settle()
                if bad := sorted(set(faint(hands, LEAST[look.name]))):
                    found[f"{place}, {look.name}"] = bad
            if not isinstance(hands.app.screen, Page):
                await hands.press("escape")
    assert found == {}
