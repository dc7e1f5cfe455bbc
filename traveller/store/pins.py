"""The PINs of people, kept as Argon2id hashes only (RFC 9106)."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from traveller.errors import InputError
from traveller.store.moments import stamp
from traveller.store.tables import pin as table
from traveller.store.upserts import upsert

if TYPE_CHECKING:
    from argon2 import PasswordHasher

ALLOWED = re.compile(r"[0-9]{4,12}", re.ASCII)


def set_pin(connection: Connection, person: str, pin: str) -> None:
    """Keep a person's PIN, 4 to 12 digits (InputError otherwise), in place of an earlier one."""
    if not ALLOWED.fullmatch(pin):
        raise InputError("A PIN has 4 to 12 digits and nothing else: choose another one.")
    row = {"person": person, "hash": _hasher().hash(pin), "changed_at": stamp(datetime.now(UTC))}
    upsert(connection, table, ["person"], row)


def check_pin(connection: Connection, person: str, pin: str) -> bool:
    """Whether this is the person's PIN; False for a person who has none."""
    from argon2.exceptions import InvalidHashError, VerificationError

    kept = connection.execute(select(table.c.hash).where(table.c.person == person)).scalar()
    if kept is None:
        return False
    try:
        return _hasher().verify(kept, pin)
    except (VerificationError, InvalidHashError):
        return False


def _hasher() -> PasswordHasher:
    """19 MiB, two passes, one lane: a check stays well under 100 ms on a bench PC."""
    from argon2 import PasswordHasher

    return PasswordHasher(time_cost=2, memory_cost=19 * 1024, parallelism=1)
