"""A process that appends entries one after the other, and says so only when each is committed."""

from __future__ import annotations

from datetime import UTC, datetime
from multiprocessing.connection import Connection
from uuid import UUID, uuid4

from traveller.record.entries import Draft, Noted
from traveller.store import journal
from traveller.store.engine import open_engine, writing


def write_until_killed(url: str, acknowledge: Connection) -> None:
    engine = open_engine(url)
    while True:
        draft = Draft(id=uuid4(), body=Noted(text="one more line"))
        with writing(engine) as connection:
            expected, _ = journal.head(connection, "U-1")
            journal.append(connection, "U-1", expected, [draft], by="P-1", terminal="bench 2", at=datetime.now(UTC))
        acknowledge.send_bytes(draft.id.bytes)


def received(acknowledged: Connection) -> set[UUID]:
    """What the writer said before it was killed."""
    ids = set()
    while True:
        try:
            ids.add(UUID(bytes=acknowledged.recv_bytes()))
        except EOFError:
            return ids
