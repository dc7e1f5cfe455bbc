from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.small_shop import SmallShop, opened


@pytest.fixture
def shop(database_url: str, tmp_path: Path) -> Iterator[SmallShop]:
    """The small shop, on both engines."""
    shop = opened(database_url, tmp_path)
    yield shop
    shop.workshop.close()
