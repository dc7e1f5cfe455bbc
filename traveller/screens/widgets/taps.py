"""Keys on one line that can also be tapped or clicked: a tablet has no function keys, a mouse no keyboard."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from rich.text import Text
from textual import events
from textual.app import RenderResult
from textual.widget import Widget


class Tap(NamedTuple):
    """`key` is pressed when it is tapped; `sign` is how the key is called, `does` what it does."""

    key: str
    sign: str
    does: str = ""


class Taps(Widget):
    """As many as fit. A tap between two of them belongs to the one before."""

    GAP = 2
    REVERSED = True

    def taps(self) -> Sequence[Tap]:
        raise NotImplementedError

    def render(self) -> RenderResult:
        line = Text(no_wrap=True, overflow="ellipsis")
        for tap in self._fitting():
            line.append(tap.sign, style="reverse bold" if self.REVERSED else "")
            line.append(f" {tap.does}" if tap.does else "")
            line.append(" " * self.GAP)
        return line

    def _fitting(self) -> list[Tap]:
        fitting: list[Tap] = []
        used = 0
        for tap in self.taps():
            width = _width(tap)
            if used + width > self.size.width:
                break
            fitting.append(tap)
            used += width + self.GAP
        return fitting

    def on_click(self, event: events.Click) -> None:
        at = event.get_content_offset(self)
        if at is None:
            return
        end = 0
        for tap in self._fitting():
            end += _width(tap) + self.GAP
            if at.x < end:
                event.stop()
                self.app.simulate_key(tap.key)
                return


class FixedTaps(Taps):
    """Always the same keys, as plain words."""

    GAP = 3
    REVERSED = False

    def __init__(self, *taps: Tap) -> None:
        super().__init__(classes="quiet")
        self._taps = taps

    def taps(self) -> Sequence[Tap]:
        return self._taps


class TouchRow(Taps):
    """What a keyboard has and a tablet does not; only there when the terminal is served to a browser."""

    GAP = 1
    KEYS = (
        Tap("up", "  ↑  "),
        Tap("down", "  ↓  "),
        Tap("pageup", " page ↑ "),
        Tap("pagedown", " page ↓ "),
        Tap("tab", " Tab "),
        Tap("space", " space "),
        Tap("backspace", "  ⌫  "),
        Tap("enter", " Enter "),
        Tap("escape", " Esc "),
        Tap("ctrl+p", " all ways "),
    )

    def taps(self) -> Sequence[Tap]:
        return self.KEYS


def _width(tap: Tap) -> int:
    return len(tap.sign) + (len(tap.does) + 1 if tap.does else 0)
