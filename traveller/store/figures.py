"""The figures of the shop, gathered from the record: each traveller is read again only when it has grown."""

from __future__ import annotations

from threading import Lock

from traveller.record.figures import Figures, UnitFacts, facts_of, figures
from traveller.record.shop_entries import SHOP
from traveller.store import journal
from traveller.store.desk import Desk
from traveller.store.engine import reading


class FigureBoard:
    """Keeps the facts of every unit up to a position of the record, and adds what came behind it."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._one_at_a_time = Lock()
        self._position = 0
        self._facts: dict[str, UnitFacts] = {}

    def now(self) -> Figures:
        """The figures of this moment."""
        desk = self._desk
        with self._one_at_a_time, reading(desk.engine) as connection:
            shop = desk.shop(connection)
            changed = journal.changed_since(connection, self._position)
            for tag in sorted({subject for _, subject, _ in changed} - {SHOP}):
                if facts := facts_of(tag, journal.read(connection, tag)):
                    self._facts[tag] = facts
            self._position = max((position for position, _, _ in changed), default=self._position)
            units = [self._facts[tag] for tag in sorted(self._facts)]
        stations = [sheet.key for sheet in desk.stations.book.sheets]
        return figures(units, stations, shop.instruments.values(), desk.stations.judges, desk.clock(), desk.today(shop))
