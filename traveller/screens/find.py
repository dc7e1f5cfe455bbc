"""Find a unit by tag, serial number, customer, order or model."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING

from textual.widget import Widget
from textual.widgets import Input, Static

from traveller.counting import many
from traveller.screens.page import Page
from traveller.screens.widgets.card_table import CardTable
from traveller.screens.widgets.typed_line import TypedLine

if TYPE_CHECKING:
    from traveller.store.cards import Card

Found = tuple[str, "list[Card]", date]


class FindPage(Page[Found]):
    heading = "find"
    REACHED_BY = "find"

    def contents(self) -> list[Widget]:
        return [
            Static(
                "Type part of a tag, serial number, customer, order or model; Enter goes to the list.",
                classes="pad",
            ),
            TypedLine(id="wanted", select_on_focus=False),
            CardTable(with_station=True),
            Static("", id="count", classes="pad"),
        ]

    def on_mount(self) -> None:
        self.query_one("#wanted", Input).focus()

    def asking(self) -> Callable[[], Found]:
        text, workshop = self.query_one("#wanted", Input).value.strip(), self.workshop
        return lambda: (text, workshop.find(text) if text else [], workshop.today())

    def paint(self, loaded: Found) -> None:
        text, cards, today = loaded
        self.query_one(CardTable).show([("", cards)], today)
        some = many(len(cards), "unit") if cards else f'Nothing here fits "{text}". Try a shorter part of it.'
        self.query_one("#count", Static).update(some if text else "")

    def on_input_changed(self, _event: Input.Changed) -> None:
        self.refresh_page()

    def on_input_submitted(self, _event: Input.Submitted) -> None:
        """An empty list takes no keys: the line keeps them."""
        table = self.query_one(CardTable)
        if table.row_count:
            table.focus()

    def on_card_table_picked(self, message: CardTable.Picked) -> None:
        self.terminal.open_unit(message.tag)
