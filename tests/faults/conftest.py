from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.faults.servers import Server


@pytest.fixture
def servers_folder() -> Iterator[Path]:
    """Outside pytest's own folder, which only root may enter."""
    with tempfile.TemporaryDirectory(prefix="traveller-faults-", ignore_cleanup_errors=True) as folder:
        Path(folder).chmod(0o755)
        yield Path(folder)


@pytest.fixture
def server(servers_folder: Path) -> Iterator[Server]:
    server = Server.made(servers_folder)
    yield server
    server.thaw()
    server.stop()
