"""Scan to unit painted: with a large record against a small one, and against pushing a page with constant data."""

from __future__ import annotations

import asyncio
import random
import statistics

from tests.benchmarks.large_shop import large_shop
from tests.benchmarks.painted import push_to_paint, scan_to_paint, terminal
from tests.benchmarks.row import LITTLE, Row, Size, peak_memory
from traveller.screens.unit import UnitPage


def measure(size: Size) -> list[Row]:
    return asyncio.run(_measured(size))


async def _measured(size: Size) -> list[Row]:
    large, small = large_shop(size.choose(100, 5_000, 100_000)), large_shop(100)
    rounds, rows = size.choose(1, 20, 40), []
    async with terminal(large.url, large.badge) as here, terminal(small.url, small.badge) as there:
        pairs = []
        for _ in range(rounds + LITTLE):
            ours = await scan_to_paint(here, random.choice(large.in_work))
            floor = await scan_to_paint(there, random.choice(small.in_work))
            pairs.append((ours, floor))
        name = f"scan to unit painted, {large.entries:,} entries, and {small.entries:,}"
        rows.append(_row(name, pairs, 1.25))
    for room in ((80, 24), (160, 50))[: size.choose(1, 2, 2)]:
        async with terminal(large.url, large.badge, room) as here:
            pairs = []
            for _ in range(rounds + LITTLE):
                ours = await scan_to_paint(here, random.choice(large.in_work))
                page = here.unit()
                assert isinstance(page, UnitPage)
                pairs.append((ours, await push_to_paint(here, page)))
        rows.append(_row(f"scan to unit painted {room[0]}x{room[1]}, and a constant page", pairs, 2))
    return rows


def _row(name: str, pairs: list[tuple[float, float]], wanted: float) -> Row:
    kept = pairs[LITTLE:]
    ours, floor = (statistics.median(pair[place] for pair in kept) for place in (0, 1))
    return Row(name, ours, floor, "ms", wanted, peak_memory())
