"""What the tests of the store write down."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from uuid import uuid4

import pytest

from tests.small_shop import SmallShop, opened
from tests.store.bench import SEEN, Bench
from traveller.record.entries import Draft, Noted


@pytest.fixture
def note() -> Callable[..., Draft]:
    """Makes the draft of a note."""
    return lambda text="oil on the heat sink": Draft(id=uuid4(), body=Noted(text=text))


@pytest.fixture
def shop(database_url: str, tmp_path: Path) -> Iterator[SmallShop]:
    """The small shop, on both engines."""
    shop = opened(database_url, tmp_path)
    yield shop
    shop.workshop.close()


@pytest.fixture
def bench(shop: SmallShop, tmp_path: Path) -> Iterator[Bench]:
    bench = Bench(shop, tmp_path / "bench 2")
    yield bench
    bench.workshop.close()


@pytest.fixture
def tag(bench: Bench) -> str:
    """A unit at diagnosis that both terminals have looked at."""
    tag = bench.shop.booked()
    bench.shop.answer(tag, SEEN, "y")
    bench.shop.workshop.move_on(tag, bench.shop.technician)
    bench.workshop.unit(tag)
    return tag
