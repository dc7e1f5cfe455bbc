"""The PINs of people, kept as Argon2id hashes only (RFC 9106). Guessing slows down and ends.

After three wrong PINs in a row the next one counts only after a wait that doubles; after ten the PIN is locked
until a shift lead sets a new one. The badge still signs on: only what takes the PIN is closed. The limit is that
of NIST SP 800-63B 5.2.2 (throttling, at most 100 in a row), tightened because a PIN is short: common practice.
"""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select, update

from traveller.errors import InputError, Refused
from traveller.store.moments import moment, stamp
from traveller.store.tables import pin as table
from traveller.store.upserts import upsert

if TYPE_CHECKING:
    from argon2 import PasswordHasher

ALLOWED = re.compile(r"[0-9]{4,12}", re.ASCII)
# 19 MiB, two passes, one lane: a check stays well under 100 ms on a bench PC.
COST = {"time_cost": 2, "memory_cost": 19 * 1024, "parallelism": 1}
FREE_TRIES = 3
LOCKED_AT = 10
LONGEST_WAIT = timedelta(minutes=5)


def set_pin(connection: Connection, person: str, pin: str, now: datetime) -> None:
    """Keep a person's PIN, 4 to 12 digits (InputError otherwise), in place of an earlier one, and unlock it."""
    if not ALLOWED.fullmatch(pin):
        raise InputError("A PIN has 4 to 12 digits and nothing else: choose another one.")
    row = {"person": person, "hash": _hasher().hash(pin), "changed_at": stamp(now), "wrong": 0, "wrong_at": None}
    upsert(connection, table, ["person"], row)


def wait_after(wrong: int) -> timedelta:
    """How long the next try has to wait after so many wrong ones in a row."""
    if wrong < FREE_TRIES:
        return timedelta()
    return min(LONGEST_WAIT, timedelta(seconds=2 ** min(wrong - FREE_TRIES, 20)))


def try_pin(connection: Connection, person: str, pin: str, now: datetime) -> bool:
    """Whether this is the person's PIN, counted. Refused, in words, while it has to wait or is locked; False for a
    person who has none. The caller commits, also when it is False."""
    row = connection.execute(select(table).where(table.c.person == person)).first()
    if row is None:
        return False
    if row.wrong >= LOCKED_AT:
        raise Refused(f"{row.wrong} wrong PINs in a row: it is locked. A shift lead sets a new one (register, p).")
    again = moment(row.wrong_at) + wait_after(row.wrong) if row.wrong_at else now
    if now < again:
        left = (again - now).total_seconds()
        raise Refused(f"{row.wrong} wrong PINs in a row: the next one counts in {left:.0f} s. Nothing was tried.")
    right = _fits(row.hash, pin)
    if row.wrong or not right:
        counted = {"wrong": 0, "wrong_at": None} if right else {"wrong": row.wrong + 1, "wrong_at": stamp(now)}
        connection.execute(update(table).where(table.c.person == person).values(**counted))
    return right


def _fits(kept: str, pin: str) -> bool:
    from argon2.exceptions import InvalidHashError, VerificationError

    try:
        return _hasher().verify(kept, pin)
    except (VerificationError, InvalidHashError):
        return False


def _hasher() -> PasswordHasher:
    from argon2 import PasswordHasher

    passes, memory, lanes = (COST[name] for name in ("time_cost", "memory_cost", "parallelism"))
    return PasswordHasher(time_cost=passes, memory_cost=memory, parallelism=lanes)
