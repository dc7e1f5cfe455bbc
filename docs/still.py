"""A terminal that stands still for its picture: always the same hour, a fixed size, a demo workshop built for it.

Shared by ``draw_pictures.py`` (the pictures of README and docs) and ``draw_gallery.py`` (every screen in every look).
"""

from __future__ import annotations

import os
import re
import sys
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path
from time import monotonic
from typing import Any

from textual import events
from textual.pilot import Pilot
from textual.widgets import DataTable, Input

from traveller import screens
from traveller.record.view import UnitView
from traveller.screens.app import TravellerApp
from traveller.screens.looks import LOOKS
from traveller.shipped import load_package, shipped_folder
from traveller.store.cards import Card
from traveller.store.workshop import Workshop
from traveller.terminal import FOLDER_VARIABLE, STATIONS_VARIABLE, Settings, save_settings

NOON = datetime(2026, 11, 25, 11, 0, tzinfo=UTC)
PATIENCE = 60.0

FONT_FACES = re.compile(r"@font-face\s*\{.*?\}", re.DOTALL)
FONT_FAMILY = re.compile(r"font-family:[^;]*;")
WINDOW_BUTTONS = re.compile(r'<g transform="translate\(26,22\)">.*?</g>', re.DOTALL)
WINDOW_TITLE = re.compile(r'<text class="[^"]*-title".*?</text>', re.DOTALL)
COMMENT = re.compile(r"<!--.*?-->", re.DOTALL)
VIEW = re.compile(r'viewBox="0 0 ([0-9.]+) ([0-9.]+)"')
TITLE_BAR = 32
LOCAL_FONT = "font-family: 'DejaVu Sans Mono', monospace;"

LEAD, TECHNICIAN, LOAD_TESTER = "Marit Osei-Lindquist", "Tomasz Achterberg", "Bram Okonjo"
INSPECTOR, CLERK = "Ilse Quintana", "Yuki Ferrante"

Fits = Callable[[Card, UnitView], bool]
UNITS: dict[str, Fits] = {
    "live": lambda card, _view: card.station == "load_test" and "energised" in card.hazards,
    "packed": lambda card, _view: card.station == "dispatch" and card.checks_done < card.checks_asked,
    "charged": lambda card, _view: "stored_charge" in card.hazards,
    "received": lambda card, _view: card.station == "goods_in" and not card.hazards,
    "siblings": lambda _card, view: bool(view.unit.siblings),
    "traces": lambda _card, view: bool(view.unit.traces),
    "runs": lambda _card, view: bool(view.unit.runs),
    "half fitted": lambda _card, view: len(view.unit.work) > 20,
    "bag open": lambda _card, view: bool(view.unit.clocks),
    "hot spot": lambda card, view: card.station == "diagnosis" and bool(view.unit.thermal),
    "estimate": lambda card, view: card.held_reason.startswith("the customer") and bool(view.unit.findings_made),
    "seen": lambda card, view: card.station == "inspection" and not card.stale and bool(view.unit.joints),
    "stale": lambda card, _view: card.station == "component_work" and card.stale > 10,
    "returned": lambda _card, view: view.unit.returned is not None,
    "ready": lambda card, view: card.station == "dispatch" and not view.reasons,
    "photos": lambda _card, view: bool(view.unit.photos),
}
"""What a unit of a picture is like; the first one of the demo that fits is taken."""


class StillTerminal(TravellerApp):
    """A terminal on which it is always `NOON`."""

    CSS_PATH = str(Path(screens.__file__).parent / TravellerApp.CSS_PATH)

    def today(self) -> date:
        return NOON.date()


@dataclass(frozen=True)
class Shot:
    """What leads to one picture: who is at which station, which unit is open, what is pressed.

    A step is a key; one that begins with ``=`` is typed as words. `unit` is a name of `UNITS`.
    """

    person: str = TECHNICIAN
    station: str = "component_work"
    unit: str = ""
    steps: tuple[str, ...] = ()


def _plain(svg: str) -> str:
    """The picture without fonts from outside and without a window drawn around the screen."""
    for what in (FONT_FACES, WINDOW_BUTTONS, WINDOW_TITLE, COMMENT):
        svg = what.sub("", svg)
    svg = VIEW.sub(lambda box: f'viewBox="0 {TITLE_BAR} {box[1]} {float(box[2]) - TITLE_BAR:g}"', svg)
    lines = (line.rstrip() for line in FONT_FAMILY.sub(LOCAL_FONT, svg).splitlines())
    return "\n".join(line for line in lines if line) + "\n"


def own_folder(folder: Path) -> None:
    """The terminal's folder lies in `folder`; nothing of the machine's own settings gets into a picture."""
    os.environ[FOLDER_VARIABLE] = str(folder)
    for name in (STATIONS_VARIABLE, "NO_COLOR"):
        os.environ.pop(name, None)


def build_demo(database: str) -> tuple[list[Card], Mapping[str, str]]:
    """The cards of all units, and the tags of those that `UNITS` names; SystemExit when one is not there any more."""
    workshop = Workshop.open(database, terminal="bench 3", clock=lambda: NOON)
    try:
        if not workshop.shop().people:
            load_package("traveller_demo", shipped_folder("demo")).build(workshop)
        cards = sorted(workshop.floor(), key=lambda card: card.tag)
        views = {card.tag: workshop.unit(card.tag) for card in cards}
        return cards, {name: _chosen(cards, views, name) for name in UNITS}
    finally:
        workshop.close()


def _chosen(cards: list[Card], views: Mapping[str, UnitView], name: str) -> str:
    found = (card.tag for card in cards if UNITS[name](card, views[card.tag]))
    return next(found, "") or sys.exit(f'The demo workshop has no unit that fits "{name}": see UNITS in still.py.')


@asynccontextmanager
async def standing_still(
    shot: Shot,
    database: str,
    tags: Mapping[str, str],
    size: tuple[int, int],
    before_steps: Callable[[StillTerminal], None] | None = None,
    look: str = LOOKS[0].name,
) -> AsyncIterator[tuple[StillTerminal, Pilot[Any]]]:
    """The terminal after all steps, at rest."""
    save_settings(Settings(name="bench 3", station=shot.station, look=look, bell=False))
    terminal = StillTerminal(database)
    async with terminal.run_test(size=size) as pilot:
        await _until(pilot, lambda: terminal.is_ready)
        terminal.workshop.desk.clock = lambda: NOON
        await settled(terminal, pilot)
        if shot.person:
            terminal.sign_on(next(one for one in terminal.workshop.shop().present() if one.name == shot.person))
            await settled(terminal, pilot)
        if shot.unit:
            terminal.open_unit(tags[shot.unit])
            await settled(terminal, pilot)
        if before_steps:
            before_steps(terminal)
        for step in shot.steps:
            await _take(step, terminal, pilot)
            await settled(terminal, pilot)
        yield terminal, pilot


async def _take(step: str, terminal: StillTerminal, pilot: Pilot[Any]) -> None:
    if step.startswith("="):
        terminal.post_message(events.Paste(step[1:]))
    else:
        await pilot.press(step)


async def picture_of(terminal: StillTerminal, pilot: Pilot[Any]) -> str:
    """What stands on the screen, as SVG; the cursor does not blink."""
    for line in terminal.screen.query(Input):
        line.cursor_blink = False
    _paint_tables_anew(terminal)
    await settled(terminal, pilot)
    return _plain(terminal.export_screenshot(simplify=True))


def _paint_tables_anew(terminal: TravellerApp) -> None:
    """A table may keep rows that it drew before its columns had their width; switching stripes on and off
    makes it draw every row again."""
    for table in terminal.screen.query(DataTable):
        for striped in (not table.zebra_stripes, table.zebra_stripes):
            table.zebra_stripes = striped


async def _until(pilot: Pilot[Any], done: Callable[[], bool]) -> None:
    end = monotonic() + PATIENCE
    while not done():
        if monotonic() > end:
            sys.exit(f"The terminal did not come to rest within {PATIENCE:g} seconds: draw the pictures again.")
        await pilot.pause(0.02)


async def settled(terminal: TravellerApp, pilot: Pilot[Any]) -> None:
    """Wait until what was asked in the background has been painted."""
    await pilot.pause(0.05)
    await _until(pilot, lambda: all(worker.is_finished for worker in terminal.workers))
    await pilot.pause(0.05)
