"""Units as the brief needs them: a few columns of their cards, no traveller is read."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, Row, select

from traveller.record.brief.brief import Glance
from traveller.record.brief.matter import from_text
from traveller.store.moments import stamp
from traveller.store.tables import card as table

COLUMNS = (table.c.tag, table.c.model, table.c.station, table.c.place, table.c.matters)
_IN_WORK = select(*COLUMNS).where(table.c.released_at.is_(None))


def in_work(connection: Connection, station: str = "") -> list[Glance]:
    """Every unit that has not left, or those of one station."""
    query = _IN_WORK.where(table.c.station == station) if station else _IN_WORK
    return _glances(connection.execute(query).all(), False)


def released_since(connection: Connection, since: datetime, most: int = 300) -> list[Glance]:
    """The units that left after a moment, the latest first."""
    left = select(*COLUMNS).where(table.c.released_at > stamp(since)).order_by(table.c.released_at.desc())
    return _glances(connection.execute(left.limit(most)).all(), True)


def _glances(rows: Iterable[Row[*tuple[Any, ...]]], released: bool) -> list[Glance]:
    return [
        Glance(tag, model, station, place, released, from_text(matters)) for tag, model, station, place, matters in rows
    ]
