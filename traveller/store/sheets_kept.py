"""The station sheets by which units were worked, edition by edition, so that old answers stay readable."""

from __future__ import annotations

from datetime import UTC, datetime

from pydantic import ValidationError
from sqlalchemy import Connection, select

from traveller.errors import NotReachable
from traveller.sheets import Sheet
from traveller.store.moments import stamp
from traveller.store.tables import sheet as table
from traveller.store.upserts import insert_if_missing


def keep(connection: Connection, sheet: Sheet) -> None:
    """Keep a sheet under its station and edition; one that is kept already stays as it is."""
    row = {
        "station": sheet.key,
        "edition": sheet.edition,
        "content": sheet.model_dump_json(),
        "registered_at": stamp(datetime.now(UTC)),
    }
    insert_if_missing(connection, table, ["station", "edition"], row)


def editions(connection: Connection) -> set[tuple[str, str]]:
    """(station, edition) of every sheet that is kept."""
    return {(row.station, row.edition) for row in connection.execute(select(table.c.station, table.c.edition))}


def kept(connection: Connection, station: str, edition: str) -> Sheet | None:
    """The sheet of that station and edition, None when it was never kept."""
    content = connection.execute(
        select(table.c.content).where(table.c.station == station, table.c.edition == edition)
    ).scalar()
    if content is None:
        return None
    try:
        return Sheet.model_validate_json(content)
    except ValidationError as error:
        raise NotReachable(
            f"This version cannot read the sheet of {station}, edition {edition}: update this terminal."
        ) from error
