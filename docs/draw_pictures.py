"""Draws the pictures of README and docs from the real screens of a freshly built demo workshop.

Run it from a checkout: ``.venv/bin/python docs/draw_pictures.py``. The clock stands still at `NOON`, the
terminals have a fixed size, and units are chosen by their story, so that a picture only changes when its
screen does. The pictures fetch nothing from outside.
"""

from __future__ import annotations

import asyncio
import os
import re
import sys
import tempfile
from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from textual.widgets import DataTable

from traveller import screens
from traveller.screens.app import TravellerApp
from traveller.shipped import load_package, shipped_folder
from traveller.store.cards import Card
from traveller.store.workshop import Workshop
from traveller.tags import read_tag
from traveller.tags.label import Label, draw_label
from traveller.terminal import FOLDER_VARIABLE, STATIONS_VARIABLE, Settings, save_settings

PICTURES = Path(__file__).parent / "pictures"
NOON = datetime(2026, 11, 25, 11, 0, tzinfo=UTC)
SIZE = (100, 30)

FONT_FACES = re.compile(r"@font-face\s*\{.*?\}", re.DOTALL)
FONT_FAMILY = re.compile(r"font-family:[^;]*;")
WINDOW_BUTTONS = re.compile(r'<g transform="translate\(26,22\)">.*?</g>', re.DOTALL)
WINDOW_TITLE = re.compile(r'<text class="[^"]*-title".*?</text>', re.DOTALL)
COMMENT = re.compile(r"<!--.*?-->", re.DOTALL)
VIEW = re.compile(r'viewBox="0 0 ([0-9.]+) ([0-9.]+)"')
TITLE_BAR = 32
LOCAL_FONT = "font-family: 'DejaVu Sans Mono', monospace;"


@dataclass(frozen=True)
class Picture:
    """One screen: who looks, at which station, and what is pressed or opened first."""

    name: str
    person: str
    station: str
    go: Callable[[TravellerApp], None] | None = None
    keys: tuple[str, ...] = ()


@dataclass(frozen=True)
class Found:
    """The tags of units that a card does not tell from others."""

    siblings: str
    half_fitted: str
    hot_spot: str


class StillTerminal(TravellerApp):
    """A terminal on which it is always `NOON`."""

    CSS_PATH = str(Path(screens.__file__).parent / TravellerApp.CSS_PATH)

    def today(self) -> date:
        return NOON.date()


def plain(svg: str) -> str:
    """The picture without fonts from outside and without a window drawn around the screen."""
    for what in (FONT_FACES, WINDOW_BUTTONS, WINDOW_TITLE, COMMENT):
        svg = what.sub("", svg)
    svg = VIEW.sub(lambda box: f'viewBox="0 {TITLE_BAR} {box[1]} {float(box[2]) - TITLE_BAR:g}"', svg)
    lines = (line.rstrip() for line in FONT_FAMILY.sub(LOCAL_FONT, svg).splitlines())
    return "\n".join(line for line in lines if line) + "\n"


def chosen(cards: list[Card], fits: Callable[[Card], bool]) -> str:
    """The tag of the first unit that fits; SystemExit when the demo has none any more."""
    found = sorted(card.tag for card in cards if fits(card))
    if not found:
        sys.exit("The demo workshop has no unit for one of the pictures: choose another one in draw_pictures.py.")
    return found[0]


def pictures(cards: list[Card], found: Found) -> list[Picture]:
    live = chosen(cards, lambda one: one.station == "load_test" and "energised" in one.hazards)
    packed = chosen(cards, lambda one: one.station == "dispatch" and one.checks_done < one.checks_asked)
    lead, bram, tomasz = "Marit Osei-Lindquist", "Bram Okonjo", "Tomasz Achterberg"
    return [
        Picture("unit", bram, "load_test", lambda terminal: terminal.open_unit(live)),
        Picture("bench", tomasz, "component_work"),
        Picture("floor", lead, "load_test", keys=("f3", "down", "down")),
        Picture("gate", "Yuki Ferrante", "dispatch", lambda terminal: terminal.open_unit(packed), ("f8",)),
        Picture("brief", lead, "load_test", keys=("f11",)),
        Picture("accepting", lead, "load_test", keys=("f11", "a")),
        Picture("run", bram, "load_test", lambda terminal: terminal.open_unit(live), ("f6", "o")),
        Picture("siblings", tomasz, "diagnosis", lambda terminal: terminal.open_unit(found.siblings), ("f6", "t")),
        Picture("worklist", tomasz, "component_work", lambda terminal: terminal.open_unit(found.half_fitted), ("f7",)),
        Picture("thermal", bram, "load_test", lambda terminal: terminal.open_unit(found.hot_spot), ("f6", "v")),
    ]


async def draw(picture: Picture, database: str) -> str:
    save_settings(Settings(name="bench 3", station=picture.station, bell=False))
    terminal = StillTerminal(database)
    async with terminal.run_test(size=SIZE) as pilot:
        await until(pilot.pause, lambda: terminal.is_open)
        terminal.workshop.desk.clock = lambda: NOON
        terminal.sign_on(next(one for one in terminal.workshop.shop().present() if one.name == picture.person))
        await settled(terminal, pilot.pause)
        if picture.go:
            picture.go(terminal)
            await settled(terminal, pilot.pause)
        for key in picture.keys:
            await pilot.press(key)
            await settled(terminal, pilot.pause)
        terminal.tell("")
        paint_tables_anew(terminal)
        await settled(terminal, pilot.pause)
        return plain(terminal.export_screenshot(simplify=True))


def paint_tables_anew(terminal: TravellerApp) -> None:
    """A table may keep rows that it drew before its columns had their width; switching stripes on and off
    makes it draw every row again."""
    for table in terminal.screen.query(DataTable):
        for striped in (not table.zebra_stripes, table.zebra_stripes):
            table.zebra_stripes = striped


async def until(pause: Callable[[float], Awaitable[None]], done: Callable[[], bool]) -> None:
    for _ in range(400):
        if done():
            return
        await pause(0.02)
    sys.exit("The terminal did not come to rest within eight seconds: draw the pictures again.")


async def settled(terminal: TravellerApp, pause: Callable[[float], Awaitable[None]]) -> None:
    """Wait until what was asked in the background has been painted."""
    await pause(0.05)
    await until(pause, lambda: all(worker.is_finished for worker in terminal.workers))
    await pause(0.05)


def build_demo(database: str) -> tuple[list[Card], Found]:
    workshop = Workshop.open(database, terminal="bench 3", clock=lambda: NOON)
    try:
        load_package("traveller_demo", shipped_folder("demo")).build(workshop)
        cards = workshop.floor()
        views = {card.tag: workshop.unit(card.tag).unit for card in cards}
        found = Found(
            siblings=chosen(cards, lambda one: bool(views[one.tag].siblings)),
            half_fitted=chosen(cards, lambda one: len(views[one.tag].work) > 20),
            hot_spot=chosen(cards, lambda one: one.station == "diagnosis" and bool(views[one.tag].thermal)),
        )
        return cards, found
    finally:
        workshop.close()


def label(cards: list[Card]) -> bytes:
    """The label of a unit that is still charged."""
    tag = chosen(cards, lambda one: "stored_charge" in one.hazards)
    card = next(one for one in cards if one.tag == tag)
    return draw_label(Label(read_tag(tag), "AC drive", card.customer, ("stored charge",)), dpi=300)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        os.environ[FOLDER_VARIABLE] = folder
        os.environ.pop(STATIONS_VARIABLE, None)
        os.environ.pop("NO_COLOR", None)
        database = str(Path(folder) / "demo.sqlite")
        cards, found = build_demo(database)
        PICTURES.mkdir(exist_ok=True)
        for picture in pictures(cards, found):
            svg = asyncio.run(draw(picture, database))
            (PICTURES / f"{picture.name}.svg").write_text(svg, encoding="utf-8")
        (PICTURES / "label.png").write_bytes(label(cards))


if __name__ == "__main__":
    main()
