"""The badge is asked for, and taken, while everything behind the sign-on page is still being loaded."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import Event
from typing import Any

import pytest
from textual import events
from textual.widgets import Static

from tests.paint_shop import lay
from tests.screens.small_shop import PIN, SmallShop
from tests.way.hands import PATIENCE, Hands
from traveller.errors import Away
from traveller.screens import opening
from traveller.screens.app import TravellerApp
from traveller.screens.sign_on import SignOn
from traveller.screens.unit import UnitPage
from traveller.screens.widgets.lines import Said
from traveller.store.door import Door
from traveller.store.workshop import Workshop

ENTER = events.Key("enter", "\r")


@dataclass
class Threshold:
    """A terminal that knows who works here and has not loaded the workshop yet."""

    hands: Hands
    _go_on: Event

    @property
    def app(self) -> TravellerApp:
        return self.hands.app

    def said(self) -> str:
        return str(self.app.screen.query_one(Said).content)

    def welcome(self) -> str:
        return str(self.app.screen.query_one("#welcome", Static).content)

    async def load(self) -> None:
        assert not self.app.is_ready
        self._go_on.set()
        assert await self.hands.comes(lambda: self.app.is_ready)


@asynccontextmanager
async def at_the_door(
    url: str, monkeypatch: pytest.MonkeyPatch, troubles: Sequence[Exception] = ()
) -> AsyncIterator[Threshold]:
    """The troubles come one by one when it is loaded, before it succeeds."""
    real, go_on, ahead = Door.workshop, Event(), list(troubles)

    def held_up(*given: Any, **words: Any) -> Workshop:
        assert go_on.wait(PATIENCE)
        if ahead:
            raise ahead.pop(0)
        return real(*given, **words)

    monkeypatch.setattr(Door, "workshop", held_up)
    app = TravellerApp(url)
    app.settings = app.settings.model_copy(update={"station": "goods_in"})
    async with app.run_test(size=(80, 24)) as pilot:
        try:
            while not (app.is_open and app.screen.is_mounted):
                await pilot.pause()
            yield Threshold(Hands(app, pilot, ""), go_on)
        finally:
            go_on.set()


async def test_what_is_scanned_meanwhile_is_done_in_order(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    tag = shop.unit(serial="early 1")
    async with at_the_door(shop.url, monkeypatch) as door:
        assert "Scan your badge" in door.welcome()
        door.app.scans.scanned(shop.technician)
        assert "Tomasz Reyes: the bench opens in a moment." in door.said()
        door.app.scans.scanned(tag)
        await door.load()
        assert await door.hands.comes(lambda: isinstance(door.app.screen, UnitPage))
        assert door.app.by == shop.technician
        assert door.hands.unit().tag == tag


async def test_a_badge_comes_to_the_bench(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    async with at_the_door(shop.url, monkeypatch) as door:
        door.app.scans.scanned(shop.inspector.lower())
        assert "Hana Lindqvist: the bench opens in a moment." in door.said()
        await door.load()
        assert await door.hands.sees("Hana Lindqvist is signed on.")
        assert "Goods-in bench" in door.hands.text()


async def test_no_page_is_left_for_that_needs_the_rest(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    async with at_the_door(shop.url, monkeypatch) as door:
        door.app.scans.scanned(shop.technician)
        for key in ("f2", "f3", "f4", "f5", "f11", "f12", "ctrl+o"):
            await door.hands.post(events.Key(key, None))
            assert isinstance(door.app.screen, SignOn), key
        await door.load()
        assert await door.hands.comes(lambda: door.app.by == shop.technician)


async def test_a_badge_that_waited_is_not_taken_when_it_had_to_be_tried_again(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever scanned it may be gone by then."""
    monkeypatch.setattr(opening, "LOOK_SECONDS", 0.01)
    async with at_the_door(shop.url, monkeypatch, [Away("The database is away.")]) as door:
        door.app.scans.scanned(shop.technician)
        await door.load()
        assert await door.hands.sees("Scan your badge")
        assert door.app.person is None
        await door.hands.scan(shop.inspector)
        assert door.app.by == shop.inspector


async def test_a_name_and_a_pin_wait_for_the_rest(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    async with at_the_door(shop.url, monkeypatch) as door:
        for typed in (events.Paste("Tomasz"), ENTER, events.Paste(PIN), ENTER):
            await door.hands.post(typed)
        assert "One moment" in door.said()
        await door.load()
        assert await door.hands.sees("Tomasz Reyes is signed on.")


async def test_a_shop_without_people_is_laid_out_then(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    async with at_the_door(f"sqlite:///{tmp_path / 'new.sqlite'}", monkeypatch) as door:
        assert "Enter lays it out" in door.welcome()
        await door.hands.post(ENTER)
        assert "One moment" in door.said()
        await door.load()
        await door.hands.sheet_opens()
        assert "A new shop" in door.hands.text()


async def test_sheets_that_cannot_be_read_close_the_door_again(
    shop: SmallShop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    own = tmp_path / "own"
    own.mkdir()
    lay(own, "this is no TOML")
    monkeypatch.setenv("TRAVELLER_STATIONS", str(own))
    app = TravellerApp(shop.url)
    async with app.run_test(size=(80, 24)) as pilot:
        hands = Hands(app, pilot, "")
        assert await hands.sees("this is not TOML")
        assert "Scan your badge" not in hands.text()
        await hands.scan(shop.technician)
        assert "still being opened" in hands.text()
        assert app.person is None
