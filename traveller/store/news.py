"""Who was last here when, and what others have entered since: asked of an index, never of the whole record."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, func, select

from traveller.record.entries import SHOP
from traveller.store import journal
from traveller.store.moments import moment, stamp
from traveller.store.tables import entry as table


def last_of(connection: Connection, person: str, before: datetime) -> tuple[int, datetime] | None:
    """(position, moment) of the last entry that a person made before a moment; None when there is none."""
    mine = (table.c.by_tag == person, table.c.at < stamp(before))
    query = select(table.c.position, table.c.at).where(*mine).order_by(table.c.at.desc(), table.c.position.desc())
    row = connection.execute(query.limit(1)).first()
    return (row.position, moment(row.at)) if row else None


def position_at(connection: Connection, at: datetime, most: int) -> int:
    """The position behind which everything later than `at` lies, looked for in the last `most` entries only."""
    oldest = floor(connection, most)
    query = select(func.max(table.c.position)).where(table.c.position > oldest, table.c.at <= stamp(at))
    return int(connection.execute(query).scalar() or oldest)


def floor(connection: Connection, most: int) -> int:
    """The position behind which the last `most` entries lie."""
    return max(0, journal.position(connection) - most)


def done_since(connection: Connection, position: int, but_by: str = "") -> dict[str, dict[str, int]]:
    """How many entries of each kind stand behind `position` on each unit, but for those by `but_by`."""
    query = (
        select(table.c.subject, table.c.kind, func.count())
        .where(table.c.position > position, table.c.subject != SHOP, table.c.by_tag != but_by)
        .group_by(table.c.subject, table.c.kind)
    )
    done: dict[str, dict[str, int]] = {}
    for subject, kind, number in connection.execute(query):
        done.setdefault(subject, {})[kind] = number
    return done
