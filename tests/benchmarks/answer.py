"""One answer to a check, durable when it returns, against the same rows written by hand, on SQLite and PostgreSQL.

The unit is on the screen already, as it is when somebody answers. Ours judges, chains, writes the entry and the card
and folds again, by the sheets as they are shipped. The floor writes the very rows that ours has just written into a
database of the same form, triggers and indexes included: one transaction, the driver alone, nothing judged, nothing
worked out, ``BEGIN IMMEDIATE`` and ``synchronous = FULL`` on SQLite, fsync on PostgreSQL.
"""

from __future__ import annotations

import sqlite3
import statistics
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing
from dataclasses import dataclass
from functools import partial
from itertools import count
from pathlib import Path
from typing import Any

import psycopg
from sqlalchemy import RowMapping, Table, select

from tests.benchmarks.row import LITTLE, Row, Size, peak_memory, timed
from tests.benchmarks.servers import durable_server
from tests.small_shop import PIN, PLATE
from traveller.sheets import CheckKind
from traveller.store.engine import open_engine, reading
from traveller.store.tables import card, entry
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role

Write = Callable[[RowMapping, RowMapping], None]
STATION = "goods_in"


@dataclass
class Bench:
    """A technician with a unit on the screen, who answers one tick after the other."""

    workshop: Workshop
    person: str
    serials: Iterator[int]

    def next(self) -> tuple[str, str]:
        """A unit that has just been looked at, and a check that it has open."""
        plate = PLATE.model_copy(update={"serial": f"A{next(self.serials)}"})
        view = self.workshop.unit(self.workshop.book_in(self.person, plate).unit.tag)
        ticks = (one.check for one in view.standings() if one.check.kind is CheckKind.TICK)
        return view.unit.tag, next(one.full_key for one in ticks if one.full_key.startswith(STATION))

    def rows(self, tag: str) -> tuple[RowMapping, RowMapping]:
        """The last entry of a unit and its card, as they lie in the database."""
        with reading(self.workshop.engine) as connection:
            last = select(entry).where(entry.c.subject == tag).order_by(entry.c.sequence.desc()).limit(1)
            return (
                connection.execute(last).mappings().one(),
                connection.execute(select(card).where(card.c.tag == tag)).mappings().one(),
            )


def opened(url: str) -> Bench:
    workshop = Workshop.open(url, terminal="bench 1")
    person = workshop.registry.enrol("Ines Okoro", [Role.LEAD, Role.TECHNICIAN], PIN)
    return Bench(workshop, person, count(1))


# ---- the floor ------------------------------------------------------------------------------------------


def insert(table: Table, mark: str) -> str:
    names = [one.name for one in table.columns if one.name != "position"]
    return f"INSERT INTO {table.name} ({', '.join(names)}) VALUES ({', '.join(mark.format(one) for one in names)})"


def upsert(table: Table, key: str, mark: str) -> str:
    changes = ", ".join(f"{one.name} = excluded.{one.name}" for one in table.columns if one.name != key)
    return f"{insert(table, mark)} ON CONFLICT ({key}) DO UPDATE SET {changes}"


def by_sqlite(connection: sqlite3.Connection) -> Write:
    for setting in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON", "recursive_triggers = ON"):
        connection.execute(f"PRAGMA {setting}")
    line, unit = insert(entry, ":{}"), upsert(card, "tag", ":{}")

    def write(new: Mapping[Any, Any], where: Mapping[Any, Any]) -> None:
        connection.execute("BEGIN IMMEDIATE")
        connection.execute(line, dict(new))
        connection.execute(unit, dict(where))
        connection.execute("COMMIT")

    return write


def by_psycopg(connection: psycopg.Connection[Any]) -> Write:
    line, unit = insert(entry, "%({})s").encode(), upsert(card, "tag", "%({})s").encode()

    def write(new: Mapping[Any, Any], where: Mapping[Any, Any]) -> None:
        with connection.transaction():
            connection.execute(line, dict(new))
            connection.execute(unit, dict(where))

    return write


# ---- both in turn ---------------------------------------------------------------------------------------


def in_turn(bench: Bench, write: Write, rounds: int) -> tuple[float, float]:
    """Medians (ms) of ours and of the floor."""
    pairs = []
    for _ in range(rounds + LITTLE):
        tag, check = bench.next()
        mine = timed(partial(bench.workshop.answer, tag, check, "y", bench.person))
        new, where = bench.rows(tag)
        pairs.append((mine, timed(partial(write, new, where))))
    bench.workshop.close()
    mine_all, bare_all = zip(*pairs[LITTLE:], strict=True)
    return statistics.median(mine_all), statistics.median(bare_all)


def on_sqlite(rounds: int) -> tuple[float, float]:
    with tempfile.TemporaryDirectory() as folder:
        bare = Path(folder) / "bare.sqlite"
        open_engine(f"sqlite:///{bare}").dispose()
        with closing(sqlite3.connect(bare, isolation_level=None)) as connection:
            return in_turn(opened(f"sqlite:///{folder}/ours.sqlite"), by_sqlite(connection), rounds)


def on_postgresql(rounds: int) -> tuple[float, float]:
    with durable_server("ours", "bare") as (ours, bare):
        open_engine(bare).dispose()
        with closing(psycopg.connect(bare, autocommit=True)) as connection:
            return in_turn(opened(ours), by_psycopg(connection), rounds)


def measure(size: Size) -> list[Row]:
    rounds = size.choose(3, 60, 300)
    mine, bare = on_sqlite(rounds)
    shared, plain = on_postgresql(rounds)
    return [
        Row("one answer on SQLite", mine, bare, "ms", 3, peak_memory()),
        Row("one answer on PostgreSQL", shared, plain, "ms", 2, peak_memory()),
    ]
