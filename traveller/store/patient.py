"""A connection to PostgreSQL that does not wait for ever.

The network tells of a server that died, but not of one that stands still: it takes the question and never
answers. Who asks would wait without end, and so would the person at the bench.
"""

from __future__ import annotations

from collections.abc import Generator
from time import monotonic
from typing import Any

import psycopg
from sqlalchemy import Connection, Engine, event

SILENCE_SECONDS = 10.0
"""Longer than any wait for another writer (`engine.PATIENCE_SECONDS`)."""


class PatientConnection(psycopg.Connection[Any]):
    """Gives the server up, and closes, when it was silent for `silence` seconds in the middle of an answer."""

    silence: float | None = None

    def wait(self, gen: Generator[Any, Any, Any], *args: Any, **words: Any) -> Any:
        return super().wait(self._while_heard(gen), *args, **words)

    def _while_heard(self, gen: Generator[Any, Any, Any]) -> Generator[Any, Any, Any]:
        """The same generator, which is resumed with 0 when there was nothing to read or to write for a while."""
        most = SILENCE_SECONDS if self.silence is None else self.silence
        heard = monotonic()
        try:
            wanted = next(gen)
            while True:
                ready = yield wanted
                if ready:
                    heard = monotonic()
                elif monotonic() - heard > most:
                    gen.close()
                    self.close()
                    raise psycopg.OperationalError(f"the server was silent for {most:g} seconds")
                wanted = gen.send(ready)
        except StopIteration as done:
            return done.value


def be_patient(engine: Engine) -> None:
    """Let the engine open such connections."""

    def connect(_dialect: Any, _record: Any, arguments: Any, words: Any) -> PatientConnection:
        return PatientConnection.connect(*arguments, **words)

    event.listen(engine, "do_connect", connect)


def wait_however_long(connection: Connection) -> None:
    """For work on the whole database, which may take the server as long as it takes."""
    driver = connection.connection.driver_connection
    if isinstance(driver, PatientConnection):
        driver.silence = float("inf")
