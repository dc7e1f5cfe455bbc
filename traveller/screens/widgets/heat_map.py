"""A thermal picture in the terminal: half blocks in colour or shades without, the marked places on top."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.color import Color
from rich.style import Style
from rich.text import Text
from textual.widget import Widget

if TYPE_CHECKING:
    from traveller.record.thermal import Grid
    from traveller.record.thermal_entries import Area

Cell = tuple[int, int]
MARK = Style(color="white", bgcolor="black", bold=True)
CROSS = Style(color="black", bgcolor="white", bold=True)


class HeatMap(Widget):
    """`cross` is the chosen cell, `corner` the first corner of an area that is being marked."""

    def __init__(self, *, id: str) -> None:
        super().__init__(id=id)
        self.grid: Grid | None = None
        self.areas: Sequence[Area] = ()
        self.cross: Cell | None = None
        self.corner: Cell | None = None
        self._cells: list[list[tuple[float, float]]] = []
        self._drawn_for: tuple[int, int] = (0, 0)

    def show(self, grid: Grid | None, areas: Sequence[Area] = ()) -> None:
        if grid is not self.grid:
            self.grid, self._drawn_for = grid, (0, 0)
        self.areas = areas
        self.refresh()

    def room(self) -> tuple[int, int]:
        """(columns, lines) of cells that the picture takes here."""
        from traveller.pictures.heat_map import fitted

        if self.grid is None:
            return 1, 1
        return fitted(self.grid, max(8, self.size.width - 1), max(4, self.size.height - 1))

    def points_between(self, one: Cell, other: Cell) -> tuple[int, int, int, int]:
        """(left, top, width, height) in points of the picture behind two cells and all between them."""
        assert self.grid is not None
        columns, lines = self.room()
        (left, right), (top, bottom) = sorted((one[0], other[0])), sorted((one[1], other[1]))
        first, last = self.grid.width * left // columns, -(-self.grid.width * (right + 1) // columns)
        upper, lower = self.grid.height * top // lines, -(-self.grid.height * (bottom + 1) // lines)
        return first, upper, max(1, min(last, self.grid.width) - first), max(1, min(lower, self.grid.height) - upper)

    def render(self) -> Text:
        from traveller.pictures.heat_map import halves

        if self.grid is None:
            return Text("")
        room = self.room()
        if room != self._drawn_for:
            self._cells, self._drawn_for = halves(self.grid, *room), room
        coldest, hottest = self.grid.bounds()
        plain = bool(getattr(self.app, "no_color", False))
        marks = self._marks(room)
        text = Text(no_wrap=True)
        for line, cells in enumerate(self._cells):
            for column, halves_of in enumerate(cells):
                char, style = marks.get((column, line)) or _cell(halves_of, coldest, hottest, plain)
                text.append(char, style)
            text.append("\n")
        text.append_text(_scale(coldest, hottest, plain))
        return text

    def _marks(self, room: tuple[int, int]) -> dict[Cell, tuple[str, Style]]:
        """What lies on top of the picture: the corners and the name of each area, the cross, the open corner."""
        assert self.grid is not None
        columns, lines = room
        marks: dict[Cell, tuple[str, Style]] = {}
        for area in self.areas:
            left, top = area.left * columns // self.grid.width, area.top * lines // self.grid.height
            right = max(left, (area.left + area.width) * columns // self.grid.width - 1)
            bottom = max(top, (area.top + area.height) * lines // self.grid.height - 1)
            corners = "╭╮╰╯" if area.shape == "ellipse" else "┌┐└┘"
            places = ((left, top), (right, top), (left, bottom), (right, bottom))
            marks |= {place: (corner, MARK) for place, corner in zip(places, corners, strict=True)}
            marks |= {
                (column, top): (letter, MARK)
                for column, letter in enumerate(area.name[: columns - left], left)
                if letter.strip()
            }
        if self.corner:
            marks[self.corner] = ("┌", CROSS)
        if self.cross:
            marks[self.cross] = ("┼", CROSS)
        return marks


def _cell(halves_of: tuple[float, float], coldest: float, hottest: float, plain: bool) -> tuple[str, Style]:
    from traveller.pictures.heat_map import colour, shade, share

    upper, lower = (share(one, coldest, hottest) for one in halves_of)
    if plain:
        return shade(max(upper, lower)), Style()
    return "▀", Style.from_color(_rgb(colour(upper)), _rgb(colour(lower)))


def _rgb(parts: tuple[int, int, int]) -> Color:
    return Color.from_rgb(*parts)


def _scale(coldest: float, hottest: float, plain: bool) -> Text:
    """``24.1 °C ████ 88.3 °C``: the bar from cold to hot."""
    from traveller.pictures.heat_map import colour, shade

    bar = Text(f"{coldest:.1f} °C ", no_wrap=True)
    for step in range(20):
        part = step / 19
        bar.append(shade(part) if plain else "█", Style() if plain else Style(color=_rgb(colour(part))))
    bar.append(f" {hottest:.1f} °C")
    return bar
