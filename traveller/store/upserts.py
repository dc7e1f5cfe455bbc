"""Insert-or-update in the form that both engines share."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from sqlalchemy import Connection, Table
from sqlalchemy.dialects import postgresql, sqlite

ConflictInsert = postgresql.Insert | sqlite.Insert


def insert_into(connection: Connection, table: Table) -> ConflictInsert:
    """An insert of the connection's own dialect, which knows ``on_conflict_do_...``."""
    if connection.dialect.name == "sqlite":
        return sqlite.insert(table)
    return postgresql.insert(table)


def upsert(connection: Connection, table: Table, keys: Sequence[str], row: Mapping[str, object]) -> None:
    """Write `row`; a row with the same `keys` is replaced."""
    changes = {name: value for name, value in row.items() if name not in keys}
    statement = insert_into(connection, table).values(dict(row))
    connection.execute(statement.on_conflict_do_update(index_elements=list(keys), set_=changes))


def insert_if_missing(
    connection: Connection, table: Table, keys: Sequence[str], row: Mapping[str, object]
) -> None:
    """Write `row`; a row with the same `keys` stays as it is."""
    statement = insert_into(connection, table).values(dict(row))
    connection.execute(statement.on_conflict_do_nothing(index_elements=list(keys)))
