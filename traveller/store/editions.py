"""The editions of the sheets: the present ones, and those by which a unit is still worked."""

from __future__ import annotations

from functools import cached_property

from pydantic import ValidationError
from sqlalchemy import Connection, Engine

from traveller.book import Book
from traveller.errors import NotReachable, Refused
from traveller.sheets import Sheet
from traveller.stationbook import StationBook
from traveller.store import sheets_kept
from traveller.store.engine import reading, writing


def _together(sheets: tuple[Sheet, ...]) -> Book:
    try:
        return Book(sheets=sheets)
    except ValidationError as error:
        said = "; ".join(str(one["msg"]).removeprefix("Value error, ") for one in error.errors())
        raise Refused(f"These editions of the sheets do not go together: {said}. Let the sheets be mended.") from None


class Editions:
    def __init__(self, engine: Engine, stations: StationBook) -> None:
        self._engine = engine
        self._stations = stations
        self._books: dict[tuple[tuple[str, str], ...], Book] = {}

    @cached_property
    def _present(self) -> dict[tuple[str, str], Sheet]:
        return {(sheet.key, sheet.edition): sheet for sheet in self._stations.book.sheets}

    def register(self) -> None:
        """Keep the present editions, so that a unit can be worked by them when they are no longer present."""
        with reading(self._engine) as connection:
            known = sheets_kept.editions(connection)
        if not self._present.keys() <= known:
            with writing(self._engine) as connection:
                for sheet in self._present.values():
                    sheets_kept.keep(connection, sheet)

    def book_for(self, connection: Connection, editions: dict[str, str]) -> Book:
        key = tuple(sorted(editions.items()))
        if key not in self._books:
            sheets = [self._sheet(connection, *one) for one in key]
            in_order = tuple(sorted(sheets, key=lambda sheet: sheet.order))
            self._books[key] = _together(in_order) if in_order else self._stations.book
        return self._books[key]

    def _sheet(self, connection: Connection, station: str, edition: str) -> Sheet:
        sheet = self._present.get((station, edition)) or sheets_kept.kept(connection, station, edition)
        if sheet is None:
            raise NotReachable(
                f"Edition {edition} of the sheet {station} is not in the database: `traveller verify` says "
                "whether the database was restored from an older backup."
            )
        return sheet
