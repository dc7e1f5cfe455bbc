"""A terminal with few letters shows plain signs: each its own, each as wide as before, and the same words."""

from __future__ import annotations

import pytest

from tests.screens.places import PLACES
from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands
from traveller.screens.looks.plain_signs import TABLE, has_no_colour, wanted
from traveller.screens.page import Page
from traveller.screens.words import SIGNS


def as_painted(hands: Hands) -> str:
    ground = hands.app.screen.background_colors[1]
    lines = []
    for strip in hands.app.screen._compositor.render_strips():
        segments = list(strip)
        for one in hands.app.get_line_filters():
            segments = one.apply(segments, ground)
        lines.append("".join(one.text for one in segments).rstrip())
    return "\n".join(lines)


def test_each_sign_keeps_a_sign_of_its_own() -> None:
    plain = [sign.translate(TABLE) for sign, _, _ in SIGNS]
    assert len(set(plain)) == len(plain)
    for sign in plain:
        assert len(sign.encode("latin-1")) == 1


@pytest.mark.parametrize(
    ("setting", "environment", "plain"),
    [
        ("", {"TERM": "xterm-256color", "LANG": "de_DE.UTF-8"}, False),
        ("", {"TERM": "xterm-256color", "LANG": "en_GB.utf8"}, False),
        ("", {}, False),
        ("", {"TERM": "linux", "LANG": "de_DE.UTF-8"}, True),
        ("", {"TERM": "vt220", "LANG": "de_DE.UTF-8"}, True),
        ("", {"TERM": "xterm", "LANG": "de_DE.ISO-8859-1"}, True),
        ("", {"TERM": "xterm", "LANG": "de_DE.UTF-8", "LC_ALL": "C"}, True),
        ("full", {"TERM": "vt220", "LANG": "C"}, False),
        ("plain", {"TERM": "xterm", "LANG": "de_DE.UTF-8"}, True),
    ],
)
def test_when_signs_are_plain(setting: str, environment: dict[str, str], plain: bool) -> None:
    """Order of LC_ALL, LC_CTYPE, LANG: POSIX.1-2017, Base Definitions, 8.2."""
    assert wanted(setting, environment) == plain


def test_which_terminals_have_no_colour() -> None:
    """The names as terminfo has them."""
    assert all(has_no_colour({"TERM": term}) for term in ("vt220", "vt100", "xterm-mono", "linux-m"))
    assert not any(has_no_colour({"TERM": term}) for term in ("xterm", "linux", "screen", "xterm-16color", ""))


async def test_no_page_needs_more_than_latin_letters(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is left beside Latin-1: lines and blocks of the old code page 437, and the signs of units (Ω)."""
    monkeypatch.setenv("TERM", "linux")
    tag = shop.unit(serial="plain")
    async with shop.terminal() as hands:
        for place in ("unit", "work list", "floor", "brief", "siblings", "help", "choice", "gate"):
            await hands.press("f2")
            await PLACES[place](hands, shop, tag)
            full, plain = hands.text(), as_painted(hands)
            assert plain == full.translate(TABLE)
            assert [len(line) for line in plain.splitlines()] == [len(line) for line in full.splitlines()]
            strange = {one for one in plain if ord(one) > 0xFF and not "\u2500" <= one <= "\u2593"}
            assert strange <= set("Ωµσ"), place
            if not isinstance(hands.app.screen, Page):
                await hands.press("escape")
