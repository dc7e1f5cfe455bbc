"""Signing on: a badge, or a name and a PIN; and what a shop says that has no people yet."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.paint_shop import STATION, WEIGHED, lay, lay_judge
from tests.screens.places import fields
from tests.screens.small_shop import PIN, SmallShop
from tests.way.hands import Hands, at_terminal
from traveller.screens.app import TravellerApp
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role


async def test_a_name_and_a_pin(shop: SmallShop) -> None:
    async with shop.terminal(badge="") as hands:
        await hands.paste("Tomasz")
        await hands.enter()
        await hands.paste("1357")
        assert "1357" not in hands.text()
        await hands.enter()
        assert "That is not the PIN of Tomasz Reyes" in hands.text()
        assert fields(hands) == ["Tomasz", ""]
        await hands.paste(PIN)
        await hands.enter()
        assert hands.app.by == shop.technician
        assert "Goods-in bench" in hands.text()


async def test_a_badge_that_is_typed_needs_no_pin(shop: SmallShop) -> None:
    async with shop.terminal(badge="") as hands:
        await hands.paste(f" {shop.inspector[:4].lower()}")
        await hands.paste(shop.inspector[4:].lower())
        await hands.enter()
        assert hands.app.by == shop.inspector


async def test_a_name_of_eight_letters_is_a_name(shop: SmallShop) -> None:
    """As long as a tag, and yet it is the PIN that is asked for next."""
    lead = next(one.tag for one in shop.workshop.shop().present() if one.may(Role.LEAD))
    shop.workshop.registry.enrol("Ana Bell", [Role.TECHNICIAN], PIN, by=lead)
    async with shop.terminal(badge="") as hands:
        await hands.paste("Ana Bell")
        await hands.enter()
        await hands.paste(PIN)
        await hands.enter()
        assert hands.app.person is not None
        assert hands.app.person.name == "Ana Bell"


async def test_nobody_of_that_name(shop: SmallShop) -> None:
    async with shop.terminal(badge="") as hands:
        await hands.paste("Nobody")
        await hands.enter()
        await hands.enter()
        assert "works here" in hands.text()
        assert hands.app.person is None


async def test_signing_off_leads_back_and_empties_the_hands(shop: SmallShop) -> None:
    async with shop.terminal() as hands:
        await hands.scan(shop.meter)
        await hands.press("f9")
        assert "sign on" in hands.text()
        assert not hands.app.in_hand
        assert hands.app.person is None


@pytest.mark.parametrize("demo", [False, True], ids=["empty shop", "demo shop"])
async def test_what_a_new_shop_says(tmp_path: Path, demo: bool) -> None:
    url = f"sqlite:///{tmp_path / 'new.sqlite'}"
    workshop = Workshop.open(url)
    if demo:
        workshop.registry.name_shop("Harbour Road", "Europe/Oslo", demo=True)
        workshop.registry.enrol("Ines Okoro", [Role.LEAD], PIN)
    workshop.close()
    async with at_terminal(TravellerApp(url)) as hands:
        if demo:
            assert "Ines Okoro: shift lead" in hands.text()
            assert PIN in hands.text()
        else:
            assert "Enter lays it out" in hands.text()


async def test_a_real_shop_tells_no_names(shop: SmallShop) -> None:
    async with shop.terminal(badge="") as hands:
        assert "Scan your badge" in hands.text()
        assert "Tomasz" not in hands.text()


async def test_a_database_that_cannot_be_opened_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "broken.sqlite").write_bytes(b"this is no database at all" * 100)
    app = TravellerApp(f"sqlite:///{tmp_path / 'broken.sqlite'}")
    async with app.run_test(size=(80, 24)) as pilot:
        hands = Hands(app, pilot, "")
        await hands.settle()
        assert "! " in hands.text()
        await hands.scan("P0000017")
        assert "still being opened" in hands.text()


async def test_a_judge_that_cannot_be_loaded_is_told_where_the_badge_is_asked_for(
    shop: SmallShop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "own"
    own.mkdir()
    lay(own, STATION + WEIGHED)
    lay_judge(own, "def used(")
    monkeypatch.setenv("TRAVELLER_STATIONS", str(own))
    async with shop.terminal(badge="") as hands:
        assert await hands.comes(lambda: "cannot be loaded (SyntaxError" in " ".join(hands.text().split()))
        assert "Scan your badge" in hands.text()


async def test_what_is_loaded_is_told_once_all_is(shop: SmallShop) -> None:
    told: list[str] = []
    app = TravellerApp(shop.url, loaded=lambda: told.append("loaded"))
    async with app.run_test(size=(80, 24)) as pilot:
        hands = Hands(app, pilot, "")
        assert await hands.comes(lambda: bool(told))
        assert told == ["loaded"]
        assert app.is_open


async def test_a_terminal_that_nobody_touches_signs_off_and_keeps_what_was_typed(shop: SmallShop) -> None:
    tag = shop.unit(serial="idle 1")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.paste("brown dust")
        hands.app.settings = hands.app.settings.model_copy(update={"idle_minutes": 30})
        hands.app.sign_off_if_idle()
        assert hands.app.person is not None, "a key was pressed a moment ago"
        hands.app._last_touched -= 31 * 60
        hands.app.sign_off_if_idle()
        await hands.settle()
        assert hands.app.person is None
        assert await hands.sees("Tomasz Reyes was signed off: 30 minutes without a key")
        await hands.scan(shop.inspector)
        await hands.scan(tag)
        assert "brown dust" not in hands.text(), "nobody enters it in another name"
        await hands.press("f2", "f9")
        await hands.scan(shop.technician)
        await hands.scan(tag)
        assert "brown dust" in hands.text()


async def test_an_open_sheet_outlasts_the_person_and_is_entered_by_the_next(shop: SmallShop) -> None:
    tag = shop.unit(serial="idle 2")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6", "n")
        await hands.paste("screw missing")
        hands.app._last_touched -= 31 * 60
        hands.app.sign_off_if_idle()
        await hands.settle()
        await hands.enter()
        assert "screw missing" in hands.text()
        assert not shop.workshop.unit(tag).unit.notes
        await hands.scan(shop.inspector)
        await hands.press("f10")
    note = shop.workshop.unit(tag).unit.notes[-1]
    assert note.by == shop.inspector
