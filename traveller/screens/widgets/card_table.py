"""A table of units, one row each, updated by key so that the cursor stays where the eye is."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from typing import TYPE_CHECKING

from rich.text import Text
from textual.events import Resize
from textual.message import Message
from textual.widgets import DataTable

from traveller.screens.widgets.fitted_table import FittedTable
from traveller.screens.words import bar, card_marks, day_words, shortened

if TYPE_CHECKING:
    from traveller.store.cards import Card

KINDS = {
    "ac_drive": "AC drive",
    "dc_drive": "DC drive",
    "servo_drive": "servo drive",
    "power_supply": "power supply",
    "operator_panel": "panel",
    "circuit_board": "board",
}


WIDE = 100


class CardTable(FittedTable):
    """Columns: promised, tag, what it is, checks, for whom, and what must be known before touching it."""

    class Picked(Message):
        def __init__(self, tag: str) -> None:
            super().__init__()
            self.tag = tag

    def __init__(self, with_station: bool = False) -> None:
        super().__init__(cursor_type="row", zebra_stripes=False)
        self._with_station = with_station
        self._shown: tuple[str, ...] = ()
        self._widths: tuple[tuple[str, int], ...] = ()
        self._last: tuple[Sequence[tuple[str, Sequence[Card]]], date] | None = None

    def _columns(self) -> tuple[tuple[str, int], ...]:
        """(name, cells); the state gets what the others leave, because it is what keeps people from harm."""
        wide = self.app.size.width >= WIDE
        fixed = [("promised", 11), ("tag", 8), ("unit", self._room())]
        fixed += [("checks", 12 if wide else 6)] if self._with_checks() else []
        fixed += [("station", 14)] if self._with_station else []
        left = self.app.size.width - sum(width + 2 for _, width in fixed) - 3
        return (*fixed, ("state", max(16, left)))

    def _with_checks(self) -> bool:
        """Beside the station a narrow screen has no room for them."""
        return not self._with_station or self.app.size.width >= WIDE

    def _room(self) -> int:
        """Cells for what a unit is."""
        return 32 if self.app.size.width >= WIDE else 21 if self._with_checks() else 19

    def on_resize(self, _event: Resize) -> None:
        if self._last and self._columns() != self._widths:
            self.show(*self._last)

    def show(self, groups: Sequence[tuple[str, Sequence[Card]]], today: date) -> None:
        """Paint groups of cards; a group's name stands on a row of its own when there are several."""
        self._last = (groups, today)
        if self._columns() != self._widths:
            self._widths, self._shown = self._columns(), ()
            self.clear(columns=True)
            for name, width in self._widths:
                self.add_column(name, key=name, width=width)
        rows = [row for name, found in groups for row in self._rows(name, found, today, len(groups) > 1)]
        keys = tuple(key for key, _ in rows)
        if keys != self._shown:
            self._fill(rows, keys)
            return
        for key, cells in rows:
            for column, cell in zip(self.columns, cells, strict=True):
                if self.get_cell(key, column) != cell:
                    self.update_cell(key, column, cell)

    def _fill(self, rows: Sequence[tuple[str, list[Text]]], keys: tuple[str, ...]) -> None:
        at = self._key_at_cursor()
        self.clear()
        for key, cells in rows:
            self.add_row(*cells, key=key)
        self._shown = keys
        wanted = at if at in keys else next((key for key in keys if not key.startswith("=")), None)
        if wanted:
            self.move_cursor(row=keys.index(wanted))

    def _rows(self, name: str, found: Iterable[Card], today: date, with_name: bool) -> Iterable[tuple[str, list[Text]]]:
        found = list(found)
        if with_name and found:
            blank = [Text("") for _ in range(len(self.columns) - 3)]
            yield f"={name}", [Text(""), Text(""), Text(f"{name} ({len(found)})", style="bold"), *blank]
        for card in found:
            yield card.tag, self._cells(card, today)

    def _cells(self, card: Card, today: date) -> list[Text]:
        wide = self.app.size.width >= WIDE
        late = card.promised is not None and card.promised < today
        what = f"{KINDS.get(card.unit_kind, card.unit_kind)} {card.maker if wide else ''} {card.model}"
        done = bar(card.checks_done, card.checks_asked) if wide else f"{card.checks_done}/{card.checks_asked}"
        cells = [
            Text(day_words(card.promised, today), style="bold" if late else ""),
            Text(card.tag),
            Text(shortened(" ".join(what.split()), self._room())),
        ]
        if self._with_checks():
            cells.append(Text(done))
        if self._with_station:
            cells.append(Text("released" if card.released_at else card.station.replace("_", " ")))
        marks = card_marks(card)
        return [*cells, Text(marks or card.customer, style="bold" if marks else "")]

    def _key_at_cursor(self) -> str:
        if not self._shown or not 0 <= self.cursor_row < len(self._shown):
            return ""
        return self._shown[self.cursor_row]

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        event.stop()
        key = str(event.row_key.value)
        if not key.startswith("="):
            self.post_message(self.Picked(key))
