"""What a screen waits for, said as soon as somebody would begin to wonder."""

from __future__ import annotations

from textual.app import App

from traveller.screens.page import Page
from traveller.screens.sheet_of_fields import SheetOfFields

PATIENCE = 0.8
"""Seconds without an answer before it is said (common practice: up to one second goes without a word)."""


class Waiting:
    """One errand: `over` has to be called when it has ended, whichever way."""

    def __init__(self, terminal: App[None], what: str) -> None:
        self._terminal = terminal
        self._words = f"{what} … Esc leaves the page; what is under way goes on."
        self._over = False
        self._said_on: Page[object] | SheetOfFields | None = None
        if what:
            terminal.set_timer(PATIENCE, self._say)

    def _say(self) -> None:
        screen = None if self._over or not self._terminal.screen_stack else self._terminal.screen
        if isinstance(screen, Page | SheetOfFields) and screen.is_mounted and not screen.says_something:
            self._said_on = screen
            screen.tell(self._words)

    def over(self) -> None:
        self._over = True
        if self._said_on is not None and self._said_on.is_mounted:
            self._said_on.tell("")
