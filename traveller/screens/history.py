"""Every line of a traveller, newest first. What was corrected stays and says so."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.screens.page import Page
from traveller.screens.widgets.fitted_table import FittedTable
from traveller.screens.words import time_words

if TYPE_CHECKING:
    from traveller.record.entries import Entry
    from traveller.record.pieces import Group
    from traveller.record.view import UnitView


class HistoryPage(Page["UnitView"]):
    heading = "history"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "all_pieces", "each piece / together", id="history.pieces"),
    ]

    def __init__(self, tag: str) -> None:
        super().__init__()
        self.tag = tag
        self.view: UnitView | None = None
        self._groups: dict[str, Group] = {}
        self._opened: set[str] = set()
        self._each = False

    def contents(self) -> list[Widget]:
        return [
            Static("", id="lead", classes="pad"),
            FittedTable(id="entries", cursor_type="row"),
            Static("", id="whole", classes="pad"),
        ]

    def on_mount(self) -> None:
        table = self.query_one("#entries", DataTable)
        for name, width in (("line", 4), ("when", 12), ("who", 14), ("what", 14), ("said", 200)):
            table.add_column(name, key=name, width=width)
        table.focus()

    def asking(self) -> Callable[[], UnitView]:
        return partial(self.workshop.unit, self.tag)

    def paint(self, loaded: UnitView) -> None:
        self.view = loaded
        table = self.query_one("#entries", DataTable)
        table.clear()
        self._groups = {str(group[-1].id): group for group in self._shown(loaded)}
        for key, group in reversed(self._groups.items()):
            table.add_row(*self._row(loaded, group), key=key)
        self.query_one("#lead", Static).update(Text(f"{self.tag}: {len(loaded.entries)} lines, newest first"))
        self.refresh_bindings()

    def _shown(self, view: UnitView) -> list[Group]:
        """Pieces of samples in a row stand together until somebody opens them."""
        from traveller.record.pieces import grouped

        found: list[Group] = []
        for group in grouped(view.entries):
            apart = self._each or str(group[0].id) in self._opened
            found += [(one,) for one in group] if apart else [group]
        return found

    def _row(self, view: UnitView, group: Group) -> tuple[Text, ...]:
        entry, shop = group[-1], self.terminal.shop
        corrected = " (corrected later)" if entry.id in view.unit.corrected else ""
        overtaken = " (kept)" if entry.id in view.kept else corrected
        words = self._words(view, group).replace("\n", " ")[:200]
        return (
            Text(f"{entry.sequence:>4}"),
            Text(time_words(entry.at, shop.zone if shop else "UTC").partition(" ")[2]),
            Text(shop.called(entry.by) if shop else entry.by),
            Text(f"{entry.body.kind}{overtaken}"),
            Text(words),
        )

    def _words(self, view: UnitView, group: Group) -> str:
        from traveller.record.pieces import said_together
        from traveller.record.saying import Names, said

        shop = self.terminal.shop
        names = Names(view.book.asked, shop.called, shop.zone) if shop else Names(view.book.asked)
        return said(group[-1], names) if len(group) == 1 else said_together(group, names)

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        group = self._groups.get(str(event.row_key.value))
        if group and self.view:
            self.query_one("#whole", Static).update(Text(self._whole(self.view, group)))

    def _whole(self, view: UnitView, group: Group) -> str:
        entry, words = group[-1], self._words(view, group)
        if len(group) > 1:
            return f"{words}\nat terminal {entry.terminal}; Enter shows each"
        why = f"\ncorrects an earlier line: {entry.because}" if entry.corrects else ""
        return f"{words}{why}\nat terminal {entry.terminal}{self._shared(entry)}".lstrip()

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        """Enter on pieces that stand together shows each of them."""
        key = str(event.row_key.value)
        if self.view and len(self._groups.get(key, ())) > 1:
            self._opened.add(str(self._groups[key][0].id))
            self._paint_again(key)

    def action_all_pieces(self) -> None:
        """Each piece on a line of its own, everywhere, or all together again."""
        self._each = not self._each and not self._opened
        self._opened.clear()
        self._paint_again("")

    def _paint_again(self, key: str) -> None:
        if self.view:
            self.paint(self.view)
            if key in self._groups:
                table = self.query_one("#entries", DataTable)
                table.move_cursor(row=table.get_row_index(key))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only where there are pieces to show."""
        if action == "all_pieces":
            return bool(self._each or self._opened or any(len(one) > 1 for one in self._groups.values()))
        return super().check_action(action, parameters)

    def _shared(self, entry: Entry) -> str:
        """What was kept while the database was away came onto the record later than it was done."""
        shop = self.terminal.shop
        if self.view and entry.id in self.view.kept:
            return ", kept here, not yet shared"
        return f", kept there, shared {time_words(entry.shared, shop.zone if shop else 'UTC')}" if entry.shared else ""
