"""A unit's tag as a code that a scanner can read from the screen."""

from __future__ import annotations

from collections.abc import Callable

from textual.widget import Widget
from textual.widgets import Static

from traveller.screens.page import Page


class CodePage(Page[str]):
    heading = "tag"

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag

    def contents(self) -> list[Widget]:
        picture = Static("", id="code", classes="pad")
        picture.styles.color = "black"
        picture.styles.background = "white"
        picture.styles.width = "auto"
        return [
            picture,
            Static(f"{self.tag}\n\nPrint the label:  traveller tag {self.tag} --out label.png", classes="pad"),
        ]

    def asking(self) -> Callable[[], str]:
        from traveller.tags import read_tag
        from traveller.tags.code import qr_text

        tag = read_tag(self.tag)
        return lambda: "\n".join(qr_text(tag))

    def paint(self, loaded: str) -> None:
        self.query_one("#code", Static).update(loaded)
