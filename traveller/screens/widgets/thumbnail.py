"""A photo drawn with characters; without colour, with shades."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from rich.color import Color
from rich.style import Style
from rich.text import Text
from textual.events import Resize
from textual.message import Message
from textual.widgets import Static

if TYPE_CHECKING:
    from traveller.pictures.thumbnail import Cell, Rows


class Thumbnail(Static):
    """Shows what it is given; asks for the rows anew when its room changes."""

    class Resized(Message):
        """There is another room to draw in."""

    def on_resize(self, _event: Resize) -> None:
        self.post_message(self.Resized())

    @property
    def room(self) -> tuple[int, int]:
        """(columns, rows) to draw in."""
        return max(1, self.content_size.width), max(1, self.content_size.height)

    def show(self, rows: Rows) -> None:
        self.update(Text("\n", no_wrap=True, end="").join(_line(row) for row in rows))


def drawn(data: bytes, room: tuple[int, int], dark: bool) -> Rows:
    """The photo for a room of (columns, rows): in colour, or in shades where the terminal is to show none."""
    from traveller.pictures.thumbnail import in_colour, in_shades

    if os.environ.get("NO_COLOR"):
        return in_shades(data, *room, light_ink=dark)
    return in_colour(data, *room)


def _line(row: list[Cell]) -> Text:
    line = Text(no_wrap=True, end="")
    for char, ink, paper in row:
        style = Style(color=Color.from_rgb(*ink), bgcolor=Color.from_rgb(*paper)) if ink and paper else Style()
        line.append(char, style)
    return line
