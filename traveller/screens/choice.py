"""A short list on top of a screen: choose one with a digit or letter, or with the arrows and Enter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from traveller.screens.widgets.taps import FixedTaps, Tap
from traveller.screens.words import shortened

ROOM, LABEL = 68, 26
"""Cells for a label and what it does on a screen 80 wide, beside a scroll bar; most for a label."""


@dataclass(frozen=True)
class Way:
    """One thing to choose: `letter` picks it."""

    key: str
    letter: str
    label: str
    does: str


class Choice(ModalScreen[str | None]):
    """Dismissed with the key of the way that was chosen, or None."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("escape", "leave", "leave")]

    def __init__(self, title: str, ways: Sequence[Way]) -> None:
        super().__init__()
        self._title = title
        self._ways = tuple(ways)

    def compose(self) -> ComposeResult:
        with Vertical(id="paper"):
            yield Static(Text(self._title), classes="title")
            yield OptionList(*(Option(self._line(way), id=way.key) for way in self._ways), id="actlist")
            yield FixedTaps(Tap("enter", f"{self._picks()} or arrows and Enter"), Tap("escape", "Esc", "leave"))

    def _picks(self) -> str:
        """What the ways are picked by: a number as long as there are few."""
        return "number" if all(way.letter.isdigit() for way in self._ways) else "letter"

    def _line(self, way: Way) -> Text:
        """What the labels do not need is there for what the ways do."""
        label = min(LABEL, max(len(one.label) for one in self._ways))
        line = Text(no_wrap=True, overflow="ellipsis")
        line.append(f" {way.letter} ", style="reverse bold")
        line.append(f" {shortened(way.label, label)}")
        line.append(f" {shortened(way.does, ROOM - label)}", style="dim")
        return line

    def on_mount(self) -> None:
        self.set_class(self.app.is_web, "-touch")
        self.query_one(OptionList).focus()

    def on_key(self, event: events.Key) -> None:
        typed = (event.character or "").casefold()
        for way in self._ways:
            if way.letter == typed:
                event.stop()
                self.dismiss(way.key)
                return

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(event.option_id)

    def action_leave(self) -> None:
        self.dismiss(None)
