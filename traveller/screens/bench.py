"""The bench: what this person has begun at this station, what waits here, what is on hold."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, ClassVar

from rich.text import Text
from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Static

from traveller.screens.page import Page
from traveller.screens.widgets.card_table import CardTable

if TYPE_CHECKING:
    from traveller.store.cards import Card
    from traveller.store.workshop import Workshop

Bench = tuple[str, str, "list[Card]", date, str]


class BenchPage(Page[Bench]):
    """The home of a terminal that somebody is signed on at."""

    ROOT = True
    REACHED_BY = "bench"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f6", "station", "station", id="bench.station", key_display="F6"),
        Binding("f9", "sign_off", "sign off", id="bench.sign_off", key_display="F9"),
    ]

    def contents(self) -> list[Widget]:
        return [Static("", id="handover", classes="caution"), Static("", id="lead", classes="pad"), CardTable()]

    def on_mount(self) -> None:
        self.query_one(CardTable).focus()
        if not self.terminal.settings.station:
            self.call_after_refresh(self.action_station)

    def asking(self) -> Callable[[], Bench]:
        workshop = self.workshop
        sheets = workshop.desk.stations.book.sheets
        wanted = self.terminal.settings.station
        sheet = next((one for one in sheets if one.key == wanted), sheets[0])
        by = self.terminal.by
        return lambda: (sheet.name, sheet.intro, workshop.queue(sheet.key), workshop.today(), news(workshop, by))

    def paint(self, loaded: Bench) -> None:
        name, intro, cards, today, told = loaded
        handover = self.query_one("#handover", Static)
        handover.display = bool(told)
        handover.update(Text(told))
        self.heading = f"{name} bench"
        self.paint_top()
        held = [card for card in cards if card.held_reason]
        mine = [card for card in cards if not card.held_reason and card.last_by == self.terminal.by]
        waiting = [card for card in cards if card not in held and card not in mine]
        groups = [("on my bench", mine), ("waiting here", waiting), ("on hold", held)]
        self.query_one(CardTable).show([group for group in groups if group[1]], today)
        lead = (
            f"{intro} Scan a tag, or choose with the arrows and Enter."
            if cards
            else f"Nothing waits at {name}. Scan a tag to open a unit, or F5 to book one in."
        )
        self.query_one("#lead", Static).update(Text(lead))

    def on_card_table_picked(self, message: CardTable.Picked) -> None:
        self.terminal.open_unit(message.tag)

    def action_station(self) -> None:
        from traveller.screens.choice import Choice, Way

        sheets = self.workshop.desk.stations.book.sheets
        options = [Way(sheet.key, str(sheet.order), sheet.name, sheet.intro) for sheet in sheets]
        self.app.push_screen(Choice("Which station is this terminal at?", options), self._at_station)

    def _at_station(self, key: str | None) -> None:
        if key:
            self.terminal.remember(station=key)
            self.refresh_page()

    def action_sign_off(self) -> None:
        self.terminal.action_sign_off()


def news(workshop: Workshop, by: str) -> str:
    """What somebody who signs on has to be told: items that wait for them, and a clock that is off."""
    waiting, watch = workshop.handovers.waiting(by), workshop.shifts.watch()
    told = []
    if waiting.mine:
        wait = "1 item waits" if len(waiting.mine) == 1 else f"{len(waiting.mine)} items wait"
        told.append(f"handover: {wait} for your crew – F11")
    return "\n".join([*told, *([f"! {watch.complaint}"] if watch.complaint else [])])
