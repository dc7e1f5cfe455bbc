"""Word of changes made at other terminals, within a second.

A thread of its own watches the database: SQLite by its change counter (``PRAGMA data_version``), PostgreSQL
by LISTEN. It only says that something changed; what changed is asked with `journal.changed_since`.
"""

from __future__ import annotations

import logging
import sqlite3
from collections.abc import Callable
from pathlib import Path
from threading import Event, Thread

from sqlalchemy import Engine

from traveller.store.engine import POSTGRESQL_ARGUMENTS, file_identity

CHANNEL = "traveller_entry"
POLL_SECONDS = 0.3
LISTEN_SECONDS = 0.5
ROUNDS_BEFORE_ASKING = 10
"""A server that has nothing to tell is asked now and then whether it is still there."""
LONGEST_PAUSE_SECONDS = 15.0

log = logging.getLogger(__name__)


class Feed:
    """Calls `on_change` from its own thread after every change, and once after each (re)connection, because
    what changed while nobody listened is not told again. Never raises; starts and stops once."""

    def __init__(self, engine: Engine, on_change: Callable[[], None]) -> None:
        self._engine = engine
        self._on_change = on_change
        self._stopped = Event()
        self._connected = False
        self._thread = Thread(target=self._run, name="feed", daemon=True)

    def start(self) -> None:
        self._thread.start()

    def stop(self) -> None:
        """Stop watching; returns within a second or so."""
        self._stopped.set()
        if self._thread.is_alive():
            self._thread.join(timeout=2)

    def _run(self) -> None:
        watch = self._watch_sqlite if self._engine.dialect.name == "sqlite" else self._listen
        failures = 0
        while not self._stopped.is_set():
            self._connected = False
            try:
                watch()
            except Exception:
                log.warning("the change feed lost the database and connects again", exc_info=True)
            failures = 0 if self._connected else failures + 1
            self._stopped.wait(min(POLL_SECONDS * 2**failures, LONGEST_PAUSE_SECONDS))

    def _tell(self) -> None:
        self._connected = True
        try:
            self._on_change()
        except Exception:
            log.warning("a listener of the change feed failed", exc_info=True)

    def _watch_sqlite(self) -> None:
        file = Path(str(self._engine.url.database))
        watched = file_identity(file)
        connection = sqlite3.connect(file, isolation_level=None)
        try:
            seen: int | None = None
            while not self._stopped.is_set() and file_identity(file) == watched:
                version = connection.execute("PRAGMA data_version").fetchone()[0]
                if version != seen:
                    seen = version
                    self._tell()
                self._stopped.wait(POLL_SECONDS)
        finally:
            connection.close()

    def _listen(self) -> None:
        from traveller.store.patient import PatientConnection

        _, arguments = self._engine.dialect.create_connect_args(self._engine.url)
        with PatientConnection.connect(**{**POSTGRESQL_ARGUMENTS, **arguments}, autocommit=True) as connection:
            connection.execute(f"LISTEN {CHANNEL}")
            self._tell()
            quiet = 0
            while not self._stopped.is_set():
                if list(connection.notifies(timeout=LISTEN_SECONDS, stop_after=1)):
                    self._tell()
                    quiet = 0
                elif (quiet := quiet + 1) % ROUNDS_BEFORE_ASKING == 0:
                    connection.execute("SELECT 1")
