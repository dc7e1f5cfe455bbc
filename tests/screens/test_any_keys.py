"""Whatever is pressed and scanned, in whatever order and however fast, the terminal goes on.

Keys come faster than pages are made, the database is away half of the time. Many more rounds than here:
``python -m tests.screens.test_any_keys 200``.
"""

from __future__ import annotations

import asyncio
import os
import random
import sys
import tempfile
from pathlib import Path

import pytest
from textual import events

from tests.screens.small_shop import SmallShop, lay_out
from tests.store.cable import Cable

NAMED = (
    *(f"f{number}" for number in range(1, 13)),
    *("escape", "enter", "up", "down", "tab", "space", "pageup", "pagedown", "plus", "backspace", "slash"),
    *("ctrl+o", "ctrl+p", "ctrl+z"),
)
KEYS = (*NAMED, *"abcdefghijklmnoprstuvwxyz0123456789.")
SCANNED = 0.05


async def press_anything(shop: SmallShop, tag: str, chance: random.Random, keys: int, away: bool) -> list[str]:
    """The keys that were pressed; whatever ends the app is raised when it is left."""
    pressed: list[str] = []
    async with shop.terminal() as hands:
        cable = Cable(hands.app.workshop)
        await hands.scan(tag)
        cable.out = away
        for _ in range(keys):
            key = tag if chance.random() < SCANNED else chance.choice(KEYS)
            pressed.append(key)
            scanned = events.Paste(f"{tag}\r")
            await hands.post(scanned if key == tag else events.Key(key, key if len(key) == 1 else None))
            assert hands.app.is_running and hands.app._exception is None, pressed[-12:]
        await hands.settle()
    return pressed


@pytest.mark.parametrize("away", [False, True], ids=["connected", "away"])
async def test_any_keys_leave_the_terminal_running(shop: SmallShop, away: bool) -> None:
    tag = shop.unit(serial=f"any-{away}")
    assert len(await press_anything(shop, tag, random.Random(20261125 + away), 60, away)) == 60


def main() -> None:
    rounds = int(sys.argv[1])
    with tempfile.TemporaryDirectory() as folder:
        os.environ["TRAVELLER_HOME"] = folder
        for seed in range(rounds):
            place = Path(folder) / str(seed)
            place.mkdir()
            shop = lay_out(place)
            asyncio.run(press_anything(shop, shop.unit(), random.Random(seed), 150, away=bool(seed % 2)))
    print(f"{rounds} rounds of 150 keys: the terminal went on.")


if __name__ == "__main__":
    main()
