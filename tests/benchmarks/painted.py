"""A terminal without a screen of its own that notes when it painted, and the unit page with constant data."""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from rich.console import RenderableType
from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import Screen
from textual.widgets import Static

from tests.way.hands import Hands, at_terminal
from traveller.screens import app
from traveller.screens.app import TravellerApp
from traveller.screens.page import Page
from traveller.screens.unit import UnitPage
from traveller.screens.widgets.check_list import CheckList
from traveller.screens.widgets.lines import KeyBar, Said, TopLine


class Watched(TravellerApp):
    """Painted is when the bytes for the terminal are made; the terminal's own time is not in it."""

    CSS_PATH = str(Path(app.__file__).parent / "looks/traveller.tcss")
    painted_at = 0.0

    def _display(self, screen: Screen[object], renderable: RenderableType | None) -> None:
        super()._display(screen, renderable)
        self.painted_at = time.perf_counter()


class Constant(Screen[None]):
    """The widgets of the unit page, filled with what one of them showed, and nothing that looks anything up."""

    HORIZONTAL_BREAKPOINTS = Page.HORIZONTAL_BREAKPOINTS
    BINDINGS = UnitPage.BINDINGS

    def __init__(self, shown: UnitPage) -> None:
        super().__init__()
        self._shown = shown
        places = enumerate(shown.query(Static))
        self._words = {place: (one.content, one.classes) for place, one in places if isinstance(one.content, Text)}
        table = shown.checks
        self._rows = [list(table.get_row_at(row)) for row in range(table.row_count)]

    def compose(self) -> ComposeResult:
        yield TopLine()
        yield from self._shown.contents()
        yield Vertical(Said(), KeyBar(), id="foot")

    def on_mount(self) -> None:
        for place, one in enumerate(self.query(Static)):
            if place in self._words:
                content, classes = self._words[place]
                one.update(content)
                one.set_classes(classes)
        table = self.query_one(CheckList)
        for row in self._rows:
            table.add_row(*row)
        self.query_one("#typed").focus()


@asynccontextmanager
async def terminal(url: str, badge: str, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Hands]:
    """Signed on, at goods-in, on its bench."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ["TRAVELLER_HOME"] = folder
        watched = Watched(url)
        watched.settings = watched.settings.model_copy(update={"station": "goods_in"})
        async with at_terminal(watched, badge, size, str(Path(folder) / "none.png")) as hands:
            yield hands


async def scan_to_paint(hands: Hands, tag: str) -> float:
    """Milliseconds from the first character of a scan on the bench to the last paint of the page that it opens."""
    await to_bench(hands)
    keys = [events.Key(character, character) for character in tag] + [events.Key("enter", "\r")]
    began = time.perf_counter()
    for key in keys:
        hands.app.post_message(key)
    await hands.settle()
    assert hands.unit().tag == tag
    return since(hands, began)


async def push_to_paint(hands: Hands, shown: UnitPage) -> float:
    """Milliseconds from pushing a page with the same widgets and constant data to its last paint."""
    screen = Constant(shown)
    await to_bench(hands)
    began = time.perf_counter()
    hands.app.call_later(hands.app.push_screen, screen)
    await hands.settle()
    assert hands.app.screen is screen
    return since(hands, began)


async def to_bench(hands: Hands) -> None:
    hands.app.call_later(hands.app.to_ground)
    await hands.settle()


def since(hands: Hands, began: float) -> float:
    assert painted_at(hands) > began
    return (painted_at(hands) - began) * 1000


def painted_at(hands: Hands) -> float:
    assert isinstance(hands.app, Watched)
    return hands.app.painted_at
