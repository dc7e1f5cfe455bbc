"""A table that fits the screen: its last column takes what the others leave, and says so where that is too little."""

from __future__ import annotations

from typing import Any

from rich.text import Text
from textual import events
from textual.widgets.data_table import RowKey

from traveller.screens.widgets.rows import Rows

LEAST = 12


class FittedTable(Rows):
    """Words that do not fit into the last column end in ``…``; all of them stand below the table or behind Enter."""

    def add_row(
        self, *cells: Text, height: int | None = 1, key: str | None = None, label: str | Text | None = None
    ) -> RowKey:
        return super().add_row(*map(_cut, cells), height=height, key=key, label=label)

    def update_cell(self, row_key: Any, column_key: Any, value: Text, *, update_width: bool = False) -> None:
        super().update_cell(row_key, column_key, _cut(value), update_width=update_width)

    def fit(self) -> None:
        """Give the last column what is left of the table's width."""
        columns = self.ordered_columns
        if not columns or not self.size.width:
            return
        taken = sum(one.get_render_width(self) for one in columns[:-1])
        width = max(LEAST, self.scrollable_content_region.width - taken - 2 * self.cell_padding)
        if columns[-1].width != width:
            columns[-1].auto_width, columns[-1].width = False, width
            self._require_update_dimensions = True
            self._clear_caches()
            self.refresh(layout=True)

    def on_resize(self, _event: events.Resize) -> None:
        self.fit()


def _cut(cell: Text) -> Text:
    cell.no_wrap, cell.overflow = True, "ellipsis"
    return cell
