"""The lines of the record as they lie in the database, before anybody asks what kind of entry each is."""

from __future__ import annotations

from typing import Any, TypeAlias, TypeVar

from pydantic import BaseModel, ValidationError
from sqlalchemy import Connection, Row, bindparam, select

from traveller.errors import NotReachable
from traveller.store.tables import entry as table

Line: TypeAlias = Row[*tuple[Any, ...]]
Read = TypeVar("Read", bound=BaseModel)

# Put together once: they run with every entry, and putting them together takes longer than running them.
LINE = select(table.c.payload, table.c.subject, table.c.sequence)
LINES = LINE.where(table.c.subject == bindparam("wanted"), table.c.sequence > bindparam("after")).order_by(
    table.c.sequence
)
LINES_OF_A_KIND = LINES.where(table.c.kind.in_(bindparam("kinds", expanding=True)))


def read_as(form: type[Read], row: Line) -> Read:
    """The line in this form; NotReachable when it has another one."""
    try:
        return form.model_validate_json(row.payload)
    except ValidationError as error:
        raise NotReachable(
            f"Entry {row.sequence} of {row.subject} cannot be read: a newer version wrote it, or "
            "it was damaged. Update this terminal; if it stays, verify the record."
        ) from error


def lines_of_kinds(connection: Connection, subject: str, form: type[Read], *kinds: str) -> list[Read]:
    """The entries of these kinds of a subject, in sequence."""
    rows = connection.execute(LINES_OF_A_KIND, {"wanted": subject, "after": 0, "kinds": kinds})
    return [read_as(form, row) for row in rows]
