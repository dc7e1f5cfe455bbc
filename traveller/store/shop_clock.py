"""Whether this terminal's clock can be right, told by the clock of the database."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from sqlalchemy import Connection, func, select

from traveller.store.moments import moment
from traveller.store.tables import entry as table

MOST = timedelta(minutes=2)
"""Further apart two clocks of a shop are not (common practice)."""
MOST_BEHIND_THE_RECORD = timedelta(minutes=5)

_THERE = select(func.clock_timestamp())
_NEWEST = select(table.c.at).order_by(table.c.position.desc()).limit(1)


def complaint(connection: Connection, now: datetime) -> str:
    """A sentence when the clock is off, empty when it is not.

    A server has a clock of its own. An SQLite file has not: there the last entry tells, which cannot be later
    than now; a clock that runs ahead is not found.
    """
    if connection.dialect.name == "postgresql":
        there = connection.execute(_THERE).scalar_one()
        return _words(now, there, "the database says") if abs(now - there) > MOST else ""
    last = connection.execute(_NEWEST).scalar()
    if last and moment(last) > now + MOST_BEHIND_THE_RECORD:
        return _words(now, moment(last), "the last entry was made at")
    return ""


def _words(now: datetime, there: datetime, whose: str) -> str:
    minutes = round(abs(now - there).total_seconds() / 60)
    way = "behind" if now < there else "ahead"
    return (
        f"The clock of this terminal is {minutes} minutes {way}: it says {now.astimezone(UTC):%H:%M} UTC, {whose} "
        f"{there.astimezone(UTC):%H:%M} UTC. Set it before you enter anything: times on the record come from it."
    )
