"""The brief of the last 24 hours with a long history, against the bare SQL of the rows that it shows.

A shop of 300 units in work, 6,000 entries in the last 24 hours and 500,000 before them (in full). The entries of the
units in work are those of units that were really worked; history is the same entries under other tags, laid down
straight in the tables. The brief is asked for as a terminal that is open asks; the bare SQL is one statement for the
cards and one for what was done since. Both are timed as the work of this process: SQLite works inside it.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime, timedelta
from itertools import count
from pathlib import Path
from uuid import uuid4

from sqlalchemy import Connection, Engine, func, insert, select, text

from tests.benchmarks.row import Row, Size, peak_memory, side_by_side
from tests.small_shop import NOW, PLATE, SmallShop, opened
from traveller.store.engine import reading, writing
from traveller.store.moments import stamp
from traveller.store.tables import card, entry
from traveller.store.workshop import Workshop
from traveller.vocabulary import HazardKind

BATCH = 20_000
SEQUENCES = count(1000)


def lay_out(shop: SmallShop, in_work: int) -> None:
    """So many units, some dangerous, held, asked about, sent back."""
    for number in range(in_work):
        tag = shop.workshop.book_in(shop.technician, PLATE.model_copy(update={"serial": f"S{number}"})).unit.tag
        shop.answer(tag, "goods_in.seen", "y")
        if number % 20 == 0:
            shop.workshop.raise_hazard(tag, HazardKind.HOT, shop.technician, "heat sink at 80 °C, cover off")
        if number % 10 == 1:
            shop.workshop.hold(tag, shop.lead, "waits for parts, promised by the supplier", NOW.date())
        if number % 12 == 2:
            shop.workshop.ask(tag, shop.lead, "which of the two fans was replaced?")
        if number % 15 == 3:
            shop.workshop.raise_nonconformity(tag, shop.inspector, "a scratch on the front, not from us")


def add(engine: Engine, number: int, at: datetime, tags: Iterator[str]) -> None:
    """So many entries, half an hour's worth to a moment, copied from a real one."""
    with reading(engine) as connection:
        like = connection.execute(select(entry).where(entry.c.kind == "answered").limit(1)).mappings().one()
    for start in range(0, number, BATCH):
        rows = []
        for place in range(start, min(start + BATCH, number)):
            row = {**like, "subject": next(tags), "sequence": next(SEQUENCES), "id": str(uuid4())}
            del row["position"]
            row.update(at=stamp(at + timedelta(seconds=place % 1800)), by_tag=f"P{place % 12:06d}X")
            rows.append(row)
        with writing(engine) as connection:
            connection.execute(insert(entry), rows)


def others() -> Iterator[str]:
    number = 0
    while True:
        number += 1
        yield f"H{number // 60:07d}"


def of_those_in_work(engine: Engine) -> Iterator[str]:
    with reading(engine) as connection:
        tags = list(connection.execute(select(card.c.tag)).scalars())
    while True:
        yield from tags


def bare(connection: Connection, since: int) -> None:
    """The rows that the brief shows, fetched and thrown away."""
    connection.execute(
        text("SELECT tag, model, station, place, matters FROM card WHERE released_at IS NULL")
    ).fetchall()
    done = "SELECT subject || '', kind, count(*) FROM entry WHERE position > :p GROUP BY subject || '', kind"
    connection.execute(text(done), {"p": since}).fetchall()


def measure(size: Size) -> list[Row]:
    in_work, last_day = size.choose(12, 300, 300), size.choose(60, 6_000, 6_000)
    history = size.choose(60, 50_000, 500_000)
    with tempfile.TemporaryDirectory() as folder:
        shop = opened(f"sqlite:///{folder}/bench.sqlite", Path(folder))
        engine = shop.workshop.engine
        lay_out(shop, in_work)
        add(engine, history, NOW - timedelta(days=30), others())
        add(engine, last_day, NOW + timedelta(hours=3), of_those_in_work(engine))
        with reading(engine) as connection:
            newest = int(connection.execute(select(func.max(entry.c.position))).scalar_one())

        def ask() -> None:
            with reading(engine) as connection:
                bare(connection, newest - last_day)

        with closing(Workshop.open(shop.url, overlay=shop.sheets, clock=lambda: NOW + timedelta(hours=25))) as later:
            ours, floor = side_by_side(
                lambda: later.briefing.brief(shop.clerk), ask, size.choose(2, 20, 60), time.process_time
            )
        shop.workshop.close()
    return [Row(f"brief, {newest:,} entries", ours, floor, "ms", 3, peak_memory())]
