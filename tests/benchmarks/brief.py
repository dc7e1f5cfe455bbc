"""How long the brief takes, and whether it grows with history. Not a test: ``python -m tests.benchmarks.brief``.

A shop of 300 units in work, 6,000 entries in the last 24 hours and 500,000 before them. The entries of the units in
work are those of units that were really worked; history is the same entries under other tags, laid down straight in
the tables. Measured are the brief as a terminal that is open asks for it, and the bare SQL of the rows that it shows
(one statement for the cards, one for what was done since), each as the median of twenty. "first" is the work of the
first look, for which every card is read; "own" the work of this process; the ratio is that of own work.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from itertools import count
from pathlib import Path
from uuid import uuid4

from sqlalchemy import Connection, Engine, func, insert, select, text

from tests.small_shop import NOW, PLATE, SmallShop, opened
from traveller.record.brief.matter import from_text
from traveller.store.engine import reading, writing
from traveller.store.moments import stamp
from traveller.store.tables import card, entry
from traveller.store.workshop import Workshop
from traveller.vocabulary import HazardKind

IN_WORK, LAST_DAY = 300, 6_000
ROUNDS = 20
BATCH = 20_000
SEQUENCES = count(1000)


def lay_out(shop: SmallShop) -> None:
    """Three hundred units, some dangerous, held, asked about, sent back."""
    for number in range(IN_WORK):
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


def in_work(engine: Engine) -> Iterator[str]:
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


def medians(act: Callable[[], object]) -> tuple[float, float]:
    """Milliseconds on the wall and of this process: on a machine that does other things only the second says much
    (for SQLite, which works inside the process; a server's own work is not in it)."""
    act()
    wall, own = [], []
    for _ in range(ROUNDS):
        start, worked = time.perf_counter(), time.process_time()
        act()
        wall.append((time.perf_counter() - start) * 1000)
        own.append((time.process_time() - worked) * 1000)
    return statistics.median(wall), statistics.median(own)


def measure(shop: SmallShop, engine: Engine) -> str:
    later = Workshop.open(shop.url, overlay=shop.sheets, clock=lambda: NOW + timedelta(hours=25))
    from_text.cache_clear()
    start = time.process_time()
    made = later.briefing.brief(shop.clerk)
    first = (time.process_time() - start) * 1000
    wall, own = medians(lambda: later.briefing.brief(shop.clerk))
    with reading(engine) as connection:
        rows = int(connection.execute(select(func.count()).select_from(entry)).scalar_one())

    def ask() -> None:
        with reading(engine) as connection:
            bare(connection, rows - LAST_DAY)

    sql_wall, sql_own = medians(ask)
    later.close()
    figures = f"{wall:>9.1f} {own:>8.1f} {sql_wall:>8.1f} {sql_own:>8.1f} {own / sql_own:>6.1f}"
    return f"{rows:>9,} {len(made.lines):>6} {first:>9.1f} {figures}"


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    asked.add_argument("--url", default="", help="a fresh database; an SQLite file that is thrown away if left out")
    asked.add_argument("--history", default="0,50000,500000")
    wanted = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        shop = opened(wanted.url or f"sqlite:///{folder}/bench.sqlite", Path(folder))
        engine = shop.workshop.engine
        lay_out(shop)
        heads = (
            ("lines", 6),
            ("first ms", 9),
            ("brief ms", 9),
            ("own ms", 8),
            ("SQL ms", 8),
            ("own ms", 8),
            ("ratio", 6),
        )
        print(f"{'entries':>9}", *(f"{name:>{width}}" for name, width in heads))
        before, tags = 0, others()
        for history in (int(one) for one in wanted.history.split(",")):
            add(engine, history - before, NOW - timedelta(days=30), tags)
            before = history
            add(engine, LAST_DAY, NOW + timedelta(hours=3), in_work(engine))
            print(measure(shop, engine), flush=True)
        shop.workshop.close()


if __name__ == "__main__":
    main()
