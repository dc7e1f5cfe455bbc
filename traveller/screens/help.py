"""Help on the screen itself: what the signs mean, what the keys do, how scans work."""

from __future__ import annotations

from collections.abc import Callable
from textwrap import wrap
from typing import ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from traveller.screens.page import Page
from traveller.screens.words import SIGNS, laid_out

KEYS = (
    "F1 help",
    "F2 bench",
    "F3 floor",
    "F4 find",
    "F5 book in",
    "F11 brief",
    "F12 calculator",
    "Esc back",
    "Ctrl+P all pages by name",
    "Ctrl+O kept here",
    "Ctrl+Q quit",
)
UNIT_KEYS = (
    "On a unit:",
    "F6 acts",
    "F7 work list",
    "F8 gate",
    "F9 history",
    "F10 move on",
    "Page Up/Down other stations",
)
KEYS_ROOM = 76
MEANING = 54
"""Cells for what a sign means, on a screen 80 wide."""


class HelpPage(Page[None]):
    heading = "help"
    BINDINGS: ClassVar[list[BindingType]] = []

    def contents(self) -> list[Widget]:
        words = Text()
        words.append("Scanning\n", style="bold")
        words.append(
            "A scan works on every screen. A badge signs you on; a unit opens at this terminal's station, on "
            "the first check that is open; an instrument is taken in hand for the next readings; a shelf or "
            "rig, scanned while a unit is open, is where the unit now lies. A scan never answers a check by "
            "itself. Without a scanner: type the instrument's tag into the line of a check that wants one, or Enter "
            "on it in the register (Ctrl+P).\n\n"
        )
        words.append("Answering\n", style="bold")
        words.append(
            "Arrows up and down choose the check, Page Up and Page Down the station. Type and press Enter: "
            "y or n, the number of a choice, a value as you write it (0.62  0,62  2k2  470u  > 550 M  OL), "
            "several values with blanks between, words. n/a and a reason where a check may not apply. The "
            "verdict and its working stand under the line while you type; what you typed stays there until "
            "it is entered.\n\n"
        )
        words.append("Taking over a shift\n", style="bold")
        words.append(
            "F11 is the brief: what is dangerous and what runs stand first; a digit goes to a heading, Enter opens "
            "the unit. a goes to the items that were handed over; there a, t and w accept the chosen one, q asks "
            "about it, r replies, u takes back what you accepted last. What nobody accepts stays open.\n\n"
        )
        words.append("Letting a unit leave\n", style="bold")
        words.append(
            "F8 on a unit is the gate: a line for each thing that keeps it, and Enter goes there. p packs, o writes "
            "the papers as files to print, F10 releases with your PIN. A unit that comes back is booked in anew (F5), "
            "then F6, y links it to its earlier traveller.\n\n"
        )
        words.append("Signs\n", style="bold")
        for sign, name, meaning in SIGNS:
            first, *more = wrap(meaning, MEANING)
            words.append(f"  {sign}  {name:15} {first}\n")
            words.append("".join(f"{'':21}{line}\n" for line in more))
        words.append("\nKeys\n", style="bold")
        for keys in (KEYS, UNIT_KEYS):
            words.append_text(laid_out([Text(key) for key in keys], Text("  "), KEYS_ROOM))
            words.append("\n")
        words.append("F6 acts: note, hold, danger, siblings, traces, runs, photos and all else on a unit.\n")
        return [VerticalScroll(Static(words), id="legend")]

    def on_mount(self) -> None:
        self.query_one("#legend").focus()

    def asking(self) -> Callable[[], None]:
        return lambda: None

    def paint(self, loaded: None) -> None:
        """Nothing changes here."""
