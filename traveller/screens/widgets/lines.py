"""The three lines that every screen has: where and who (top), what was said, and the keys (bottom)."""

from __future__ import annotations

from collections.abc import Sequence

from rich.text import Text
from textual.binding import Binding
from textual.screen import Screen
from textual.visual import VisualType
from textual.widget import Widget
from textual.widgets import Static

from traveller.screens.widgets.taps import Tap, Taps


class TopLine(Static):
    """Shop, station of this terminal, who is signed on, which instrument is in hand."""

    def tell(self, left: str, right: str) -> None:
        width = max(20, self.app.size.width - 2)
        if len(left) + len(right) + 2 > width:
            left = left[: max(0, width - len(right) - 3)] + "…"
        gap = " " * max(2, width - len(left) - len(right))
        self.update(Text(f"{left}{gap}{right}", no_wrap=True))


class Words(Static):
    """Words that are painted again only when they changed, and laid out again only when they take other lines: most
    news from elsewhere changes none of them, most keys change no more than the words of a line."""

    def update(self, content: VisualType = "", *, layout: bool = True) -> None:
        if content != self.content:
            before = self._lines()
            super().update(content, layout=False)
            if layout and (before == 0 or self._lines() != before):
                self.refresh(layout=True)

    def _lines(self) -> int:
        """How many it takes; 0 before it was laid out."""
        width = self.size.width
        return self.get_content_height(self.container_size, self.screen.size, width) if width else 0


def columns_of(widget: Widget) -> int:
    """The columns that a widget has; before it is laid out those of its half of a wide page, or of all of a narrow."""
    return widget.size.width or widget.app.size.width // (2 if widget.screen.has_class("-wide") else 1)


class Said(Static):
    """The answer of the program to the last act: one or more sentences, until the next one."""

    def tell(self, text: str, refused: bool = False) -> None:
        self.set_class(bool(text), "-shown")
        self.set_class(refused, "-refused")
        sign = "! " if refused else "» "
        self.update(Text(f"{sign}{text}") if text else "")


class KeyBar(Taps):
    """The keys of the screen on one line.

    It only repaints when bindings change. The stock footer makes new widgets on every change of focus and
    keeps the old ones reachable, which a terminal that runs for weeks cannot afford.
    """

    def on_mount(self) -> None:
        self.screen.bindings_updated_signal.subscribe(self, self._bindings_updated)

    def _bindings_updated(self, _screen: Screen[object]) -> None:
        self.refresh()

    def taps(self) -> Sequence[Tap]:
        return [Tap(one.key, self.app.get_key_display(one), one.description) for one in self._shown()]

    def _shown(self) -> list[Binding]:
        active = self.screen.active_bindings.values()
        own = [one.binding for one in active if one.binding.show and one.node is self.screen]
        leads_here = getattr(self.screen, "REACHED_BY", "")
        common = [
            one.binding
            for one in active
            if one.binding.show and one.node is self.app and one.binding.action != leads_here
        ]
        back = [one for one in own if one.key == "escape"]
        return [one for one in own if one.key != "escape"] + back + common
