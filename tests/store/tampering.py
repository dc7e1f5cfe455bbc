"""A hand at the bare tables."""

from __future__ import annotations

from sqlalchemy import Connection, text


def without_triggers(connection: Connection) -> None:
    """As somebody would who wants to change the record and has the right to alter the tables."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("ALTER TABLE entry DISABLE TRIGGER USER"))
        return
    names = connection.execute(text("SELECT name FROM sqlite_master WHERE type = 'trigger' AND tbl_name = 'entry'"))
    for name in names.scalars().all():
        connection.execute(text(f'DROP TRIGGER "{name}"'))
