"""Running numbers, such as those of the tags. A number that was taken is never given again."""

from __future__ import annotations

from sqlalchemy import Connection, select

from traveller.store.tables import counter as table
from traveller.store.upserts import insert_into, upsert


def take(connection: Connection, name: str) -> int:
    """The next number under `name`, from 1."""
    statement = (
        insert_into(connection, table)
        .values(name=name, value=1)
        .on_conflict_do_update(index_elements=["name"], set_={"value": table.c.value + 1})
        .returning(table.c.value)
    )
    return int(connection.execute(statement).scalar_one())


def at_least(connection: Connection, name: str, value: int) -> None:
    """Let the next number come after `value`; one that is further already stays."""
    known = connection.execute(select(table.c.value).where(table.c.name == name)).scalar_one_or_none()
    upsert(connection, table, ["name"], {"name": name, "value": max(value, known or 0)})
