"""What a database driver reports, as a sentence that says what is wrong and what to do."""

from __future__ import annotations

import sqlite3

from sqlalchemy.exc import DBAPIError, TimeoutError

from traveller.errors import Away, NotReachable


class Lost(Away):
    """The connection broke in the middle: whether the last commit came through is not known."""


BUSY = (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)

_WAIT = "Another terminal has been writing for too long: wait a moment and do it again."
_FULL = "The disk of the database is full and nothing was written: make room, then do it again."
_A_COPY = (
    "The database server takes no writing just now (it is a copy or set to read-only): connect to the main server."
)

SQLITE_SENTENCES = {
    sqlite3.SQLITE_BUSY: _WAIT,
    sqlite3.SQLITE_LOCKED: _WAIT,
    sqlite3.SQLITE_FULL: _FULL,
    sqlite3.SQLITE_READONLY: "The database may not be written to: "
    "ask for the right to write to its file and its folder.",
    sqlite3.SQLITE_CANTOPEN: "The file of the database cannot be opened: "
    "look whether its folder exists and whether you may read and write there.",
    sqlite3.SQLITE_PERM: "The database may not be opened: ask for the right to read and write its file.",
    sqlite3.SQLITE_NOTADB: "The file is not a database of this program: give another file, or restore a backup.",
    sqlite3.SQLITE_CORRUPT: "The file of the database is damaged: "
    "write nothing more, keep the file and restore the last backup.",
    sqlite3.SQLITE_IOERR: "The disk of the database reports an error: "
    "look after the disk, and restore the last backup if this stays.",
}

POSTGRESQL_SENTENCES = {
    "28": "The database server refuses this user or password: check both in the name of the database.",
    "3D000": "The server has no database of this name: create it, or correct the name.",
    "42501": "This user lacks a right in the database: let its owner grant the right to create and to write tables.",
    "25006": _A_COPY,
    "0A000": _A_COPY,
    "53100": _FULL,
    "53300": "The database server has too many connections: close a terminal, or let it allow more.",
    "53": "The database server is short of memory or disk and nothing was written: make room, then do it again.",
    "55P03": _WAIT,
    "40": _WAIT,
    "57": "The database server is stopping or has broken off the work: wait until it runs, then do it again.",
}
"""By SQLSTATE, or by its class, the first two characters (PostgreSQL documentation, appendix A). A copy refuses a
transaction that may write as a feature that it does not have (0A000)."""

PASSING_SQLITE = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED, sqlite3.SQLITE_FULL, sqlite3.SQLITE_IOERR}
PASSING_POSTGRESQL = ("08", "0A000", "25006", "40", "53", "55P03", "57")
"""What passes without anybody changing the name of the database, a password or a right."""


def in_words(error: Exception) -> NotReachable:
    """The sentence for an error of SQLAlchemy or of a driver; `Away` when it passes by itself or with the
    network, the server or room on its disk. It never shows a password or a statement."""
    if isinstance(error, TimeoutError):
        return Away("All connections to the database are in use: wait a moment and do it again.")
    cause = error.orig if isinstance(error, DBAPIError) and error.orig else error
    found = _of_sqlite(cause) if isinstance(cause, sqlite3.Error) else _of_postgresql(cause)
    broken = isinstance(error, DBAPIError) and error.connection_invalidated and isinstance(found, Away)
    return Lost(str(found)) if broken else found


def _of_sqlite(cause: sqlite3.Error) -> NotReachable:
    code = getattr(cause, "sqlite_errorcode", None)
    primary = code & 0xFF if code is not None else None
    sentence = SQLITE_SENTENCES.get(primary) if primary is not None else None
    kind = Away if primary in PASSING_SQLITE else NotReachable
    return kind(sentence or f"The database refused: {_first_line(cause)}")


def _of_postgresql(cause: BaseException) -> NotReachable:
    state = getattr(cause, "sqlstate", None)
    if state:
        sentence = POSTGRESQL_SENTENCES.get(state) or POSTGRESQL_SENTENCES.get(state[:2])
        kind = Away if state.startswith(PASSING_POSTGRESQL) else NotReachable
        return kind(sentence or f"The database refused: {_first_line(cause)}")
    return Away(
        f"The database server cannot be reached, or does not let this terminal in ({_first_line(cause)}): "
        "check that it runs, the network, and the name of the database."
    )


def _first_line(cause: BaseException) -> str:
    return next(iter(str(cause).strip().splitlines()), type(cause).__name__)
