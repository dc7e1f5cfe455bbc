"""The figures of the shop: what comes back, what passes at the first go, where units wait, what fails."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from rich.text import Text
from textual.containers import VerticalScroll
from textual.widget import Widget
from textual.widgets import Static

from traveller.screens.page import Page

if TYPE_CHECKING:
    from traveller.record.figures import Figures


class FiguresPage(Page["Figures"]):
    heading = "figures"

    def contents(self) -> list[Widget]:
        return [VerticalScroll(Static("", id="figures", classes="pad"), id="scroll")]

    def on_mount(self) -> None:
        self.query_one("#scroll", VerticalScroll).focus()

    def asking(self) -> Callable[[], Figures]:
        return self.workshop.figures.now

    def paint(self, loaded: Figures) -> None:
        from traveller.record.figures_in_words import lines

        self.query_one("#figures", Static).update(Text("\n".join(lines(loaded))))
