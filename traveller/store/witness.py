"""How far this terminal knows each traveller to have come, in a small file of its own.

A database that was restored from an old backup is sound in itself: nothing in it tells that lines are missing. Who
wrote the lines knows it.
"""

from __future__ import annotations

import logging
import sqlite3
from pathlib import Path
from threading import Lock

from sqlalchemy import Connection

from traveller.store import journal

log = logging.getLogger(__name__)

TABLE = (
    "CREATE TABLE IF NOT EXISTS seen (record TEXT, subject TEXT, sequence INTEGER, digest TEXT, "
    "PRIMARY KEY (record, subject)) WITHOUT ROWID"
)
SAW = (
    "INSERT INTO seen VALUES (?, ?, ?, ?) ON CONFLICT (record, subject) DO UPDATE "
    "SET sequence = excluded.sequence, digest = excluded.digest WHERE excluded.sequence > sequence"
)


class Witness:
    """The last line of every traveller that this terminal wrote to: its number and its digest. `record` is the
    shop's record (the digest of its first entry), so that several databases never mix."""

    def __init__(self, folder: Path) -> None:
        self._file = folder / "seen.sqlite"
        self._kept_open: sqlite3.Connection | None = None
        self._one_at_a_time = Lock()

    def close(self) -> None:
        with self._one_at_a_time:
            if self._kept_open:
                self._kept_open.close()
            self._kept_open = None

    def saw(self, record: str, subject: str, sequence: int, digest: str) -> None:
        """A witness that cannot write keeps nobody from working."""
        try:
            self._ask(SAW, record, subject, sequence, digest)
        except (sqlite3.Error, OSError):
            log.warning("what was seen of %s could not be noted", subject, exc_info=True)

    def gone_back(self, connection: Connection, record: str) -> list[str]:
        """A sentence for every traveller that the database has shorter, or otherwise, than it was seen here."""
        return [words for one in self.all(record) if (words := _gone_back(connection, *one))]

    def accept(self, connection: Connection, record: str) -> None:
        """Take the database as it is from now on: an old backup was restored on purpose."""
        for subject, sequence, digest in self.all(record):
            if _gone_back(connection, subject, sequence, digest):
                self._ask("DELETE FROM seen WHERE record = ? AND subject = ?", record, subject)

    def all(self, record: str) -> list[tuple[str, int, str]]:
        """(subject, sequence, digest) of every traveller of this record."""
        if not self._file.exists():
            return []
        try:
            rows = self._ask("SELECT subject, sequence, digest FROM seen WHERE record = ? ORDER BY subject", record)
        except sqlite3.Error:
            log.warning("what was seen cannot be read", exc_info=True)
            return []
        return [(str(subject), int(sequence), str(digest)) for subject, sequence, digest in rows]

    def _ask(self, statement: str, *values: str | int) -> list[tuple[str | int, ...]]:
        """One connection for all threads, because opening one takes longer than the entry itself."""
        with self._one_at_a_time:
            if self._kept_open is None:
                self._kept_open = self._open()
            return self._kept_open.execute(statement, values).fetchall()

    def _open(self) -> sqlite3.Connection:
        self._file.parent.mkdir(parents=True, exist_ok=True)
        connection = sqlite3.connect(self._file, timeout=1, isolation_level=None, check_same_thread=False)
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("PRAGMA synchronous = NORMAL")
        connection.execute(TABLE)
        self._file.chmod(0o600)
        return connection


def _gone_back(connection: Connection, subject: str, sequence: int, digest: str) -> str:
    there = journal.digest_at(connection, subject, sequence)
    if there == digest:
        return ""
    if there:
        return f"{subject}: line {sequence} is another one than this terminal saw there: two records grew apart."
    last, _ = journal.head(connection, subject)
    return (
        f"{subject}: this terminal saw line {sequence}, and the database ends at line {last}: it went back in time, "
        "as after restoring an old backup."
    )
