"""A terminal that is left open for a month: it is scanned at, pages are opened, shifts change, others enter things.

    python -m tests.soak.terminal --scans 100000

prints every thousand scans what the process holds: memory, file handles, threads, tasks, widgets. Linux (proc(5)).
Every nineteenth scan is painted, once, when the screen has come to rest.
"""

from __future__ import annotations

import argparse
import asyncio
import gc
import os
import tempfile
import threading
from collections.abc import Callable
from dataclasses import astuple, dataclass, fields
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tests.screens.small_shop import SmallShop, lay_out
from tests.way.hands import Hands
from tests.way.painting import only_at_rest

MONTH = timedelta(days=30)
BEGAN = datetime(2026, 3, 9, 6, 0, tzinfo=UTC)
PAGES = ("f2", "f3", "f4", "f11", "f12", "f1")
UNIT_EVERY = 12
SHELF_EVERY = 40
ENTERED_EVERY = 50
PAGE_EVERY = 50
PAINTED_EVERY = 19
FEWEST_UNITS = 20
SCANS_A_UNIT = 1_000


@dataclass(frozen=True)
class Held:
    """What the process holds after so many scans."""

    scans: int
    memory_mb: float
    files: int
    threads: int
    tasks: int
    widgets: int
    objects: int


def held(scans: int, hands: Hands) -> Held:
    gc.collect()
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[1])
    return Held(
        scans,
        round(pages * os.sysconf("SC_PAGE_SIZE") / 1e6, 1),
        len(list(Path("/proc/self/fd").iterdir())),
        threading.active_count(),
        len(asyncio.all_tasks()),
        sum(1 for screen in hands.app.screen_stack for _ in screen.walk_children()),
        len(gc.get_objects()),
    )


async def a_month(shop: SmallShop, scans: int, look_every: int, tell: Callable[[Held], None]) -> None:
    """So many scans, spread over a month of the terminal's clock."""
    units = [shop.unit(serial=f"{number}") for number in range(max(FEWEST_UNITS, scans // SCANS_A_UNIT))]
    others = (shop.technician, shop.meter, shop.inspector, shop.meter)
    now = BEGAN

    def scanned(number: int) -> str:
        if number % UNIT_EVERY == 0:
            return units[number // UNIT_EVERY % len(units)]
        return shop.shelf if number % SHELF_EVERY == 1 else others[number % len(others)]

    async with shop.terminal() as hands:
        hands.app.workshop.desk.clock = lambda: now
        for number in range(1, scans + 1):
            now += MONTH / scans
            hands.looking = number % PAINTED_EVERY == 0
            await hands.scan(scanned(number))
            if number % PAGE_EVERY == 0:
                await hands.press(PAGES[number // PAGE_EVERY % len(PAGES)])
                await hands.press("escape")
            if number % ENTERED_EVERY == 0:
                shop.workshop.note(units[number // ENTERED_EVERY % len(units)], shop.inspector, "seen on the round")
            if number % look_every == 0:
                await hands.scan(shop.technician)
                await hands.press("f2")
                tell(held(number, hands))


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--scans", type=int, default=2_000)
    asked.add_argument("--every", type=int, default=1_000)
    given = asked.parse_args()
    names = [one.name.replace("_", " ") for one in fields(Held)]
    print("| " + " | ".join(names) + " |")
    print("|" + " --- |" * len(names))
    with tempfile.TemporaryDirectory() as folder, only_at_rest():
        os.environ["TRAVELLER_HOME"] = folder
        shop = lay_out(Path(folder))
        asyncio.run(
            a_month(
                shop,
                given.scans,
                given.every,
                lambda one: print("| " + " | ".join(f"{value:,}" for value in astuple(one)) + " |", flush=True),
            )
        )


if __name__ == "__main__":
    main()
