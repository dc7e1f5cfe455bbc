"""A list under headings: rows that can be chosen, with the place of the cursor kept when they come anew."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from rich.text import Text

from traveller.screens.widgets.fitted_table import FittedTable

CHOOSE = "That is a heading: choose an item with the arrows first."


@dataclass(frozen=True)
class Row:
    """`key` is empty for a heading, which the cursor passes but nothing is done with."""

    key: str
    cells: tuple[Text, ...]


class RowList(FittedTable):
    """The columns are given once; the last one takes what they leave."""

    def __init__(self, columns: Sequence[tuple[str, int]], name: str) -> None:
        super().__init__(id=name, cursor_type="row", show_header=False)
        self._widths = tuple(columns)
        self._rows: tuple[Row, ...] = ()

    def on_mount(self) -> None:
        for name, width in self._widths:
            self.add_column(name, key=name, width=width)

    def show(self, rows: Iterable[Row]) -> None:
        fresh = tuple(rows)
        if fresh == self._rows:
            return
        at, line = self.chosen(), self.cursor_row
        self.clear()
        self._rows = fresh
        for row in fresh:
            self.add_row(*row.cells)
        known = [row.key for row in fresh]
        first = next((n for n, key in enumerate(known) if key), 0)
        if fresh:
            self.move_cursor(row=known.index(at) if at and at in known else min(line, len(fresh) - 1) or first)

    def chosen(self) -> str:
        """The key of the row under the cursor; empty on a heading."""
        return self._rows[self.cursor_row].key if 0 <= self.cursor_row < len(self._rows) else ""

    def go_to(self, key: str) -> None:
        """The row with this key; nothing happens when there is none."""
        place = next((n for n, row in enumerate(self._rows) if row.key == key), None)
        if place is not None:
            self.move_cursor(row=place)

    def go_to_heading(self, number: int) -> None:
        """The first row under the heading of this number, from 1; nothing happens when there is none."""
        headings = [place for place, row in enumerate(self._rows) if not row.key]
        if 1 <= number <= len(headings):
            place = headings[number - 1]
            under = place + 1 < len(self._rows) and self._rows[place + 1].key
            self.move_cursor(row=place + 1 if under else place)
            self.scroll_to(y=place, animate=False)
