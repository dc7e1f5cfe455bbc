"""Who was last here when, and what others have entered since: asked of an index, never of the whole record."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, bindparam, func, literal_column, select

from traveller.record.shop_entries import SHOP
from traveller.store import journal
from traveller.store.moments import moment, stamp
from traveller.store.tables import entry as table

# Put together once: the brief asks them at every look.
_LAST = (
    select(table.c.position, table.c.at)
    .where(table.c.by_tag == bindparam("person"), table.c.at < bindparam("before"))
    .order_by(table.c.at.desc(), table.c.position.desc())
    .limit(1)
)
# By an expression: grouped by the bare column SQLite walks its index of all subjects, the whole of history.
_SUBJECT = table.c.subject.op("||")(literal_column("''"))
_DONE = (
    select(_SUBJECT, table.c.kind, func.count())
    .where(
        table.c.position > bindparam("position"),
        table.c.at > bindparam("after"),
        table.c.subject != bindparam("shop"),
        table.c.by_tag != bindparam("but_by"),
    )
    .group_by(_SUBJECT, table.c.kind)
)


def last_of(connection: Connection, person: str, before: datetime) -> tuple[int, datetime] | None:
    """(position, moment) of the last entry that a person made before a moment; None when there is none."""
    row = connection.execute(_LAST, {"person": person, "before": stamp(before)}).first()
    return (row.position, moment(row.at)) if row else None


def floor(connection: Connection, most: int) -> int:
    """The position behind which the last `most` entries lie."""
    return max(0, journal.position(connection) - most)


def done_since(
    connection: Connection, position: int, but_by: str = "", after: datetime | None = None
) -> dict[str, dict[str, int]]:
    """How many entries of each kind stand behind `position` on each unit, but for those by `but_by`; of later
    than `after` only."""
    asked = {"position": position, "shop": SHOP, "but_by": but_by, "after": stamp(after) if after else ""}
    done: dict[str, dict[str, int]] = {}
    for unit, kind, number in connection.execute(_DONE, asked).all():
        done.setdefault(unit, {})[kind] = number
    return done
