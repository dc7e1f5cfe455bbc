"""An empty shop is laid out on its first start; its lead then enrols the others on the register."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from tests.screens.small_shop import PIN, SmallShop
from tests.way.hands import Hands, at_terminal
from traveller.errors import InputError, Refused
from traveller.screens.app import TravellerApp
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role


async def type_in(hands: Hands, *lines: str) -> None:
    for line in lines:
        if line:
            await hands.press("ctrl+u")
            await hands.paste(line)
        await hands.enter()


async def test_one_sheet_and_the_shop_works(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'new.sqlite'}"
    app = TravellerApp(url)
    async with at_terminal(app) as hands:
        assert "Enter lays it out" in hands.text()
        await hands.enter()
        assert "A new shop" in hands.text()
        await type_in(hands, "Harbour Road", "Europe/Oslo", "Ines Okoro", PIN, "1357", "diagnosis")
        assert "The two PINs differ" in hands.text()
        assert "Ines Okoro" in hands.text()
        await hands.press("up")
        await type_in(hands, PIN)
        await hands.press("f10")
        assert "Diagnosis bench" in hands.text()
        assert app.settings.station == "diagnosis"
        shown = app.workshop.shop()
        assert (shown.name, shown.zone) == ("Harbour Road", "Europe/Oslo")
        person = shown.people[app.by]
        assert person.name == "Ines Okoro"
        assert Role.LEAD in person.roles
        assert app.workshop.sign_on("Ines Okoro", PIN).tag == person.tag


def test_a_shop_is_founded_once(database_url: str) -> None:
    workshop = Workshop.open(database_url)
    with pytest.raises(InputError, match="is not a time zone"):
        workshop.registry.found("Harbour Road", "Europe/Atlantis", "Ines Okoro", PIN)
    with pytest.raises(InputError, match="4 to 12 digits"):
        workshop.registry.found("Harbour Road", "UTC", "Ines Okoro", "12")
    assert not workshop.shop().people, "a refused founding leaves nothing"
    workshop.registry.found("Harbour Road", "UTC", "Ines Okoro", PIN)
    with pytest.raises(Refused, match="has its people already"):
        workshop.registry.found("Harbour Lane", "UTC", "Bram Adeyemi", PIN)
    assert workshop.shop().name == "Harbour Road"
    workshop.close()


async def open_register(hands: Hands) -> None:
    hands.app.action_register()
    await hands.settle()


async def test_a_lead_enrols_and_registers(shop: SmallShop) -> None:
    lead = next(one.tag for one in shop.workshop.shop().present() if one.may(Role.LEAD))
    async with shop.terminal(badge=lead) as hands:
        await open_register(hands)
        await hands.press("a", "p")
        await type_in(hands, "Oda Feld", "inspector; load-test", PIN)
        assert "enrolled" in hands.text()
        await hands.press("a", "i")
        await type_in(hands, "Meter 9", "multimeter", "2090-05-01", "0.5", "0.02")
        await hands.press("a", "r")
        await type_in(hands, "Rig North", "690", "250", "110k")
        await hands.press("a", "s")
        await type_in(hands, "Shelf C9")
        shown = hands.text()
    after = shop.workshop.shop()
    oda = next(one for one in after.present() if one.name == "Oda Feld")
    assert oda.roles == (Role.INSPECTOR, Role.LOAD_TESTER)
    meter = next(one for one in after.instruments.values() if one.name == "Meter 9")
    assert (meter.calibration_due, meter.percent, meter.absolute) == (date(2090, 5, 1), 0.5, 0.02)
    rig = next(one for one in after.rigs.values() if one.name == "Rig North")
    assert (rig.max_volts, rig.max_amps, rig.max_power) == (690, 250, 110e3)
    assert "690 V, 250 A, 110000 W" in shown
    assert "Shelf C9" in shown


async def test_a_technician_is_refused_in_words_and_nothing_typed_is_lost(shop: SmallShop) -> None:
    async with shop.terminal() as hands:
        await open_register(hands)
        await hands.press("a", "s")
        await type_in(hands, "Shelf X")
        assert "may not change the register" in hands.text()
        assert "Shelf X" in hands.text()
    assert "Shelf X" not in {one.name for one in shop.workshop.shop().shelves.values()}


async def test_the_keys_for_people_and_instruments_want_one(shop: SmallShop) -> None:
    lead = next(one.tag for one in shop.workshop.shop().present() if one.may(Role.LEAD))
    async with shop.terminal(badge=lead) as hands:
        await open_register(hands)
        await hands.press("n")
        assert "Choose an instrument first" in hands.text()
        await hands.press("ctrl+end", "p")
        assert "Choose a person first" in hands.text()
