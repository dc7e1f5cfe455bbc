"""Insert-or-update in the form that both engines share."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import TYPE_CHECKING, TypeAlias

from sqlalchemy import Connection, Table

if TYPE_CHECKING:
    from sqlalchemy.dialects import postgresql, sqlite

ConflictInsert: TypeAlias = "postgresql.Insert | sqlite.Insert"


def insert_into(connection: Connection, table: Table) -> ConflictInsert:
    """An insert of the connection's own dialect, which knows ``on_conflict_do_...``."""
    return _insert(connection.dialect.name, table)


def _insert(dialect: str, table: Table) -> ConflictInsert:
    """Only the dialect of the engine in use is loaded."""
    if dialect == "sqlite":
        from sqlalchemy.dialects import sqlite

        return sqlite.insert(table)
    from sqlalchemy.dialects import postgresql

    return postgresql.insert(table)


def upsert(connection: Connection, table: Table, keys: Sequence[str], row: Mapping[str, object]) -> None:
    """Write `row`; a row with the same `keys` is replaced."""
    connection.execute(_upsert(connection.dialect.name, table, tuple(keys), tuple(row)), dict(row))


@cache
def _upsert(dialect: str, table: Table, keys: tuple[str, ...], names: tuple[str, ...]) -> ConflictInsert:
    """Built once for each table: it is written with every entry, and building it takes longer than running it."""
    statement = _insert(dialect, table)
    changes = {name: statement.excluded[name] for name in names if name not in keys}
    return statement.on_conflict_do_update(index_elements=list(keys), set_=changes)


def insert_if_missing(connection: Connection, table: Table, keys: Sequence[str], row: Mapping[str, object]) -> None:
    """Write `row`; a row with the same `keys` stays as it is."""
    statement = insert_into(connection, table).values(dict(row))
    connection.execute(statement.on_conflict_do_nothing(index_elements=list(keys)))
