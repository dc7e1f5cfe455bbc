"""Every line of a traveller, newest first. What was corrected stays and says so."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.screens.page import Page
from traveller.screens.words import time_words

if TYPE_CHECKING:
    from traveller.record.entries import Entry
    from traveller.record.view import UnitView


class HistoryPage(Page["UnitView"]):
    heading = "history"
    BINDINGS: ClassVar[list[BindingType]] = []

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self.view: UnitView | None = None

    def contents(self) -> list[Widget]:
        return [
            Static("", id="lead", classes="pad"),
            DataTable(id="entries", cursor_type="row"),
            Static("", id="whole", classes="pad"),
        ]

    def on_mount(self) -> None:
        table = self.query_one("#entries", DataTable)
        for name, width in (("line", 4), ("when", 16), ("who", 16), ("what", 15), ("said", 200)):
            table.add_column(name, key=name, width=width)
        table.focus()
        super().on_mount()

    def asking(self) -> Callable[[], UnitView]:
        return partial(self.workshop.unit, self.tag)

    def paint(self, loaded: UnitView) -> None:
        from traveller.record.saying import said

        self.view = loaded
        table, shop = self.query_one("#entries", DataTable), self.terminal.shop
        table.clear()
        for entry in reversed(loaded.entries):
            overtaken = (
                " (kept)"
                if entry.id in loaded.kept
                else " (corrected later)"
                if entry.id in loaded.unit.corrected
                else ""
            )
            table.add_row(
                Text(f"{entry.sequence:>4}"),
                Text(time_words(entry.at, shop.zone if shop else "UTC")),
                Text(shop.called(entry.by) if shop else entry.by),
                Text(f"{entry.body.kind}{overtaken}"),
                Text(said(entry).replace("\n", " ")[:200]),
                key=str(entry.id),
            )
        self.query_one("#lead", Static).update(Text(f"{self.tag}: {len(loaded.entries)} lines, newest first"))

    def _entry(self, key: str) -> Entry | None:
        return next((one for one in self.view.entries if str(one.id) == key), None) if self.view else None

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        from traveller.record.saying import said

        entry = self._entry(str(event.row_key.value))
        if entry:
            why = f"\ncorrects an earlier line: {entry.because}" if entry.corrects else ""
            self.query_one("#whole", Static).update(
                Text(f"{said(entry)}{why}\nat terminal {entry.terminal}{self._shared(entry)}")
            )

    def _shared(self, entry: Entry) -> str:
        """What was kept while the database was away came onto the record later than it was done."""
        shop = self.terminal.shop
        if self.view and entry.id in self.view.kept:
            return ", kept here, not yet shared"
        return f", kept there, shared {time_words(entry.shared, shop.zone if shop else 'UTC')}" if entry.shared else ""
