from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.screens.small_shop import SmallShop, lay_out
from tests.way.painting import painted_at_rest

__all__ = ["painted_at_rest"]


@pytest.fixture(autouse=True)
def _own_settings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("TRAVELLER_STATIONS", raising=False)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SmallShop]:
    laid_out = lay_out(tmp_path_factory.mktemp("shop"))
    yield laid_out
    laid_out.workshop.close()
