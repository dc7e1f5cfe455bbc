"""A shop with as many units as asked for, thirty entries each, a hundred of them in work, the others released.

A few units are really worked. All others are those units under other tags, serial numbers, identifiers and days,
each chained and with its card, laid straight into the tables: sound, which is looked at for some before anybody uses
it. A laid-out shop stays in a folder beside the system's temporary files, so that the next run finds it.
"""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any

from sqlalchemy import select

from tests.screens.small_shop import plate
from tests.small_shop import PIN, SmallShop, lay_people, lay_sheets
from traveller.errors import TravellerError
from traveller.store import cards, counters
from traveller.store.engine import reading, writing
from traveller.store.journal import BEFORE_THE_FIRST, chained
from traveller.store.projection import card_of
from traveller.store.tables import card, entry
from traveller.store.workshop import Workshop
from traveller.tags import TagKind, make_tag
from traveller.vocabulary import UnitKind

CACHE = Path(tempfile.gettempdir()) / "traveller-benchmarks"
FORM = 1
"""Raised when what is laid out changes, so that older shops are not taken for it."""
IN_WORK, ENTRIES, LIKE = 100, 30, 2
FIRST = 1000
"""The numbers before it are those of the units that were really worked."""
DAY = date(2026, 1, 5)
BATCH = 2_000
BYTES_PER_ENTRY = 900
TAG, SERIAL, TAIL, DATE, BEFORE = "\0T", "\0S", "\0I", "\0D", "\0P"


@dataclass(frozen=True)
class Pattern:
    """Rows of one unit that was really worked, with marks where each unit has its own."""

    lines: tuple[dict[str, Any], ...]
    card: dict[str, Any]

    def rows(self, number: int, tag: str, day: str) -> Iterator[dict[str, Any]]:
        own = ((TAG, tag), (SERIAL, serial(number)), (TAIL, f"{number:012x}"), (DATE, day))
        digest = BEFORE_THE_FIRST
        for line in self.lines:
            row = {**line, **{name: _filled(line[name], own) for name in ("subject", "id", "at")}}
            row["payload"] = _filled(line["payload"], (*own, (BEFORE, digest)))
            row["previous"], digest = digest, chained(digest, row["payload"])
            yield {**row, "digest": digest}

    def card_row(self, number: int, tag: str, day: str) -> dict[str, Any]:
        own = ((TAG, tag), (SERIAL, serial(number)), (TAIL, f"{number:012x}"), (DATE, day))
        return {name: _filled(value, own) if isinstance(value, str) else value for name, value in self.card.items()}


def serial(number: int) -> str:
    return f"s{number:07d}"


def _filled(text: str, own: Sequence[tuple[str, str]]) -> str:
    for mark, value in own:
        text = text.replace(mark, value)
    return text


@dataclass(frozen=True)
class LargeShop:
    url: str
    badge: str
    in_work: tuple[str, ...]
    """Tags."""
    entries: int


def large_shop(units: int) -> LargeShop:
    """Found in the cache, or laid out: at some 10,000 entries a second and 0.9 kB each."""
    folder = CACHE / f"form-{FORM}" / str(units)
    if not folder.exists():
        need_room(units)
        building = CACHE / f"building-{units}"
        shutil.rmtree(building, ignore_errors=True)
        building.mkdir(parents=True)
        _lay_out(building, units)
        folder.parent.mkdir(exist_ok=True)
        building.rename(folder)
    url = f"sqlite:///{folder / 'shop.sqlite'}"
    with closing(Workshop.open(url)) as workshop, reading(workshop.engine) as connection:
        badge = next(one.tag for one in workshop.shop().present() if one.name == "Tomasz Reyes")
        in_work = select(card.c.tag).where(card.c.released_at.is_(None)).order_by(card.c.tag)
        tags = tuple(connection.execute(in_work).scalars())
        newest = connection.execute(select(entry.c.position).order_by(entry.c.position.desc()).limit(1)).scalar_one()
    return LargeShop(url, badge, tags, newest)


def need_room(units: int) -> None:
    CACHE.mkdir(exist_ok=True)
    wanted, free = units * ENTRIES * BYTES_PER_ENTRY, shutil.disk_usage(CACHE).free
    if free < 2 * wanted:
        raise TravellerError(f"{units:,} units take {wanted / 1e9:.0f} GB and {CACHE} has {free / 1e9:.0f} GB free.")


def _lay_out(folder: Path, units: int) -> None:
    seconds = count()
    began = datetime(DAY.year, DAY.month, DAY.day, 6, tzinfo=UTC)

    def clock() -> datetime:
        return began + timedelta(seconds=next(seconds))

    url, sheets = f"sqlite:///{folder / 'shop.sqlite'}", lay_sheets(folder / "sheets")
    small = lay_people(url, sheets, Workshop.open(url, overlay=sheets, clock=clock))
    left = [_pattern(small.workshop, _released(small)) for _ in range(LIKE if units > IN_WORK else 0)]
    small.workshop.close()
    with closing(Workshop.open(url, clock=clock)) as workshop:
        working = [_pattern(workshop, _begun(small.at(workshop))) for _ in range(LIKE)]
        with writing(workshop.engine) as connection:
            counters.at_least(connection, f"tag {TagKind.UNIT.letter}", FIRST + 2 * units)
        _lay_down(Path(folder / "shop.sqlite"), units, working, left)
        _look_at_some(workshop)


PLATE = plate(UnitKind.AC_DRIVE, "serial-to-be")


def _begun(shop: SmallShop) -> str:
    """A drive at goods-in by the sheets as they are shipped, some of it answered."""
    tag = shop.workshop.book_in(shop.technician, PLATE).unit.tag
    for check, text in (("fault_shows", "hot"), ("nameplate_matches", "y"), ("transit_damage", "none")):
        shop.workshop.answer(tag, f"goods_in.{check}", text, shop.technician)
    return _filled_up(shop, tag, ENTRIES)


def _released(shop: SmallShop) -> str:
    """A unit that went its whole way on small sheets."""
    tag = shop.ready(PLATE)
    _filled_up(shop, tag, ENTRIES - 1)
    shop.workshop.release(tag, shop.clerk, PIN, "ran warm, nothing to add")
    return tag


def _filled_up(shop: SmallShop, tag: str, entries: int) -> str:
    while shop.workshop.unit(tag).unit.sequence < entries:
        shop.workshop.note(tag, shop.technician, "looked at it again, the fan sounds as it should, nothing to add here")
    return tag


def _pattern(workshop: Workshop, tag: str) -> Pattern:
    with reading(workshop.engine) as connection:
        of_unit = select(entry).where(entry.c.subject == tag).order_by(entry.c.sequence)
        lines = [dict(row) for row in connection.execute(of_unit).mappings()]
        row = dict(connection.execute(select(card).where(card.c.tag == tag)).mappings().one())
    starts = [line["id"][:24] for line in lines]
    assert len(set(starts)) == len(lines) == ENTRIES
    plate = workshop.unit(tag).unit.nameplate
    assert plate
    marks = [(tag, TAG), (plate.serial.casefold(), SERIAL), (plate.serial, SERIAL), (DAY.isoformat(), DATE)]
    marks += [(line["id"], start + TAIL) for line, start in zip(lines, starts, strict=True)]
    for line in lines:
        del line["position"]
        line.update({name: _filled(line[name], marks) for name in ("subject", "id", "at")})
        line["payload"] = _filled(line["payload"], [*marks, (line["previous"], BEFORE)])
    return Pattern(
        tuple(lines), {name: _filled(value, marks) if isinstance(value, str) else value for name, value in row.items()}
    )


def _lay_down(file: Path, units: int, working: Sequence[Pattern], left: Sequence[Pattern]) -> None:
    numbers = ((number, tag) for number in count(FIRST) if (tag := make_tag(TagKind.UNIT, number)))
    every = units // IN_WORK
    with closing(sqlite3.connect(file)) as bare:
        bare.executescript("PRAGMA synchronous = OFF; PRAGMA cache_size = -400000;")
        for start in range(0, units, BATCH):
            lines: list[dict[str, Any]] = []
            card_rows: list[dict[str, Any]] = []
            for place in range(start, min(start + BATCH, units)):
                number, tag = next(numbers)
                kind = working if place % every == 0 else left
                pattern, day = kind[place // every % LIKE], (DAY - timedelta(days=place % 2000)).isoformat()
                lines += pattern.rows(number, tag, day)
                card_rows.append(pattern.card_row(number, tag, day))
            for table, rows in (("entry", lines), ("card", card_rows)):
                names = list(rows[0])
                bare.executemany(
                    f"INSERT INTO {table} ({', '.join(names)}) VALUES ({', '.join(':' + name for name in names)})", rows
                )
            bare.commit()
        bare.execute("PRAGMA wal_checkpoint(TRUNCATE)")


def _look_at_some(workshop: Workshop) -> None:
    """Every hundredth or so: the chain fits, and the card is what the entries say."""
    with reading(workshop.engine) as connection:
        tags = cards.all_tags(connection)
        some = tags[:: max(1, len(tags) // 40)]
        for tag in some:
            assert cards.get(connection, tag) == card_of(workshop.desk.view(connection, tag)), tag
    assert not [broken for tag in some for broken in workshop.verify(tag)]
