"""A line to type in that is only painted again with each key."""

from __future__ import annotations

from textual.geometry import Size
from textual.reactive import Reactive
from textual.widgets import Input


class TypedLine(Input):
    """The stock line has the whole screen laid out anew as its text grows, though it takes no more room for it, and
    leaves the cursor out of sight behind the first text that is pasted into it. Of a text that is longer than the
    line the end is in sight while it is typed, the beginning when it is left."""

    virtual_size = Reactive(Size(0, 0))

    def watch_value(self) -> None:
        if self.has_focus:
            self._end_in_sight()

    def on_focus(self) -> None:
        self._end_in_sight()

    def on_blur(self) -> None:
        self.scroll_to(x=0, animate=False, force=True)

    def _end_in_sight(self) -> None:
        if self.cursor_position == len(self.value) and self.scroll_offset.x < self.max_scroll_x:
            self.scroll_to(x=self.max_scroll_x, animate=False, force=True)
