"""The floor: all stations at a glance, what can hurt first, then every unit in work by promised date."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import DataTable, Static

from traveller.counting import many
from traveller.screens.page import Page
from traveller.screens.widgets.card_table import CardTable
from traveller.screens.widgets.rows import Rows
from traveller.screens.words import time_words

if TYPE_CHECKING:
    from traveller.store.cards import Card
    from traveller.store.handovers import Waiting

Floor = tuple["list[tuple[str, str]]", "list[Card]", date, "Waiting"]
LONGEST_BAR = 10
COLUMNS = (
    ("station", 14),
    ("units", 5),
    ("", LONGEST_BAR),
    ("late", 4),
    ("on hold", 7),
    ("stale", 5),
    ("danger", 6),
    ("next due", 11),
)


class FloorPage(Page[Floor]):
    heading = "floor"
    REACHED_BY = "floor"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("tab", "swap", "stations/units", id="floor.swap", key_display="Tab"),
        Binding("l", "app.runs", "load runs", id="floor.runs"),
        Binding("r", "app.rigs", "rigs", id="floor.rigs"),
        Binding("f", "figures", "figures", id="floor.figures"),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._loaded: Floor | None = None

    def contents(self) -> list[Widget]:
        table = Rows(id="stations", cursor_type="row")
        table.styles.height = 8
        return [
            Static("", id="handover", classes="caution"),
            Static("", id="danger", classes="caution"),
            table,
            Static("", id="lead", classes="pad"),
            CardTable(),
        ]

    def on_mount(self) -> None:
        for name, width in COLUMNS:
            self.query_one("#stations", DataTable).add_column(name, key=name, width=width)
        self.query_one("#stations", DataTable).focus()

    def asking(self) -> Callable[[], Floor]:
        workshop = self.workshop
        stations = [(sheet.key, sheet.name) for sheet in workshop.desk.stations.book.sheets]
        return lambda: (stations, workshop.floor(), workshop.today(), workshop.handovers.waiting())

    def paint(self, loaded: Floor) -> None:
        self._loaded = loaded
        stations, cards, today, waiting = loaded
        self._paint_handover(waiting)
        table = self.query_one("#stations", DataTable)
        at = table.cursor_row
        table.clear()
        most = max(Counter(card.station for card in cards).values(), default=0)
        for key, name in stations:
            table.add_row(*_station_cells(name, [c for c in cards if c.station == key], most, today), key=key)
        table.move_cursor(row=max(0, at))
        dangerous = [card for card in cards if card.hazards]
        listed = "  ".join(f"{c.tag} {', '.join(h.replace('_', ' ') for h in c.hazards)}" for c in dangerous[:3])
        more = f"  and {len(dangerous) - 3} more" if len(dangerous) > 3 else ""
        words = f"! dangerous now ({len(dangerous)}): {listed}{more}" if dangerous else "Nothing dangerous is recorded."
        self.query_one("#danger", Static).update(Text(words))
        self._paint_units()

    def _paint_handover(self, waiting: Waiting) -> None:
        """What nobody accepted stays at the top until somebody does."""
        line, shop = self.query_one("#handover", Static), self.terminal.shop
        line.display = bool(waiting.all)
        if waiting.all:
            oldest = min(one.at for one in waiting.given.values() if one.id in {item.handover for item in waiting.all})
            since = time_words(oldest, shop.zone if shop else "UTC")
            live = sum(str(one.item.risk) == "live" for one in waiting.all)
            danger = f", {live} of them live" if live else ""
            count = many(len(waiting.all), "item")
            line.update(Text(f"! nobody accepted {count}{danger}, since {since} – F11, then a"))

    def _paint_units(self) -> None:
        if self._loaded is None:
            return
        stations, cards, today, _ = self._loaded
        row = self.query_one("#stations", DataTable).cursor_row
        key, name = stations[min(max(row, 0), len(stations) - 1)]
        here = [card for card in cards if card.station == key]
        self.query_one(CardTable).show([("", here)], today)
        self.query_one("#lead", Static).update(Text(f"{name}: {many(len(here), 'unit')}"))

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        if event.data_table.id == "stations":
            self._paint_units()

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        if event.data_table.id == "stations":
            self.query_one(CardTable).focus()

    def on_card_table_picked(self, message: CardTable.Picked) -> None:
        self.terminal.open_unit(message.tag)

    def action_figures(self) -> None:
        from traveller.screens.figures import FiguresPage

        self.app.push_screen(FiguresPage())

    def action_swap(self) -> None:
        table = self.query_one("#stations", DataTable)
        (self.query_one(CardTable) if table.has_focus else table).focus()


def _station_cells(name: str, cards: list[Card], most: int, today: date) -> list[Text]:
    late = sum(card.promised is not None and card.promised < today for card in cards)
    dates = sorted(card.promised for card in cards if card.promised)
    soonest = f"{dates[0]:%a} {dates[0].day} {dates[0]:%b}" if dates else ""
    counts = (
        late,
        sum(bool(card.held_reason) for card in cards),
        sum(bool(card.stale) for card in cards),
        sum(bool(card.hazards) for card in cards),
    )
    return [
        Text(name),
        Text(f"{len(cards):>3}"),
        Text("■" * math.ceil(len(cards) * LONGEST_BAR / max(most, LONGEST_BAR))),
        *(Text(f"{count:>3}" if count else "  ·", style="bold" if count else "dim") for count in counts),
        Text(soonest),
    ]
