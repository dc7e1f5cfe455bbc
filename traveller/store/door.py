"""The door of the shop: its database is open and who works there is known. Everything else is behind it, and takes as
long to load as somebody takes to reach for the badge."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Self

from sqlalchemy import Engine

from traveller.record.roll import ON_THE_ROLL, Roll, RollLine
from traveller.record.shop_entries import SHOP
from traveller.store.engine import open_engine, reading
from traveller.store.lines import lines_of_kinds

if TYPE_CHECKING:
    from traveller.store.workshop import Workshop


@dataclass(frozen=True)
class Door:
    engine: Engine
    roll: Roll

    @classmethod
    def open(cls, url: str) -> Self:
        """Open (and if it is new, lay out) the database at `url`; NotReachable says why when it cannot be."""
        engine = open_engine(url)
        roll = Roll()
        try:
            with reading(engine) as connection:
                for line in lines_of_kinds(connection, SHOP, RollLine, *ON_THE_ROLL):
                    roll.take(line.at, line.body)
        except BaseException:
            engine.dispose()
            raise
        return cls(engine, roll)

    def workshop(self, *, terminal: str, overlay: Path | None, folder: Path) -> Workshop:
        """The workshop behind it. Its judges are for the caller to load soon; one needed before is loaded then."""
        from traveller.stationbook import load_stations
        from traveller.store.workshop import Workshop

        stations = load_stations(overlay, judges_later=True)
        return Workshop.behind(self.engine, stations, terminal=terminal, folder=folder)

    def close(self) -> None:
        self.engine.dispose()
