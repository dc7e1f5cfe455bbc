"""A thermal picture of an invented power stage: six devices in two rows, one of them hotter if wanted."""

from __future__ import annotations

import math
import random
from pathlib import Path

WIDTH, HEIGHT = 160, 120
SPREAD = 9.0
PLACES = {f"Q{n + 1}": (30 + 50 * (n % 3), 35 + 50 * (n // 3)) for n in range(6)}
"""Where the middle of each device lies, in points of the picture (column, row)."""


def power_stage(ambient: float = 26.0, rise: float = 38.0, hot: str = "", extra: float = 0.0) -> list[list[float]]:
    """Temperatures in °C, row by row; the device `hot` is `extra` K hotter than its siblings."""
    chance = random.Random(f"{hot} {extra}")
    rises = {name: rise + (extra if name == hot else 0.0) for name in PLACES}
    return [
        [round(ambient + _over(column, row, rises) + chance.gauss(0, 0.15), 2) for column in range(WIDTH)]
        for row in range(HEIGHT)
    ]


def _over(column: int, row: int, rises: dict[str, float]) -> float:
    """K over ambient: the warm heatsink, and the devices on it."""
    spots = (
        rises[name] * math.exp(-((column - x) ** 2 + (row - y) ** 2) / (2 * SPREAD**2))
        for name, (x, y) in PLACES.items()
    )
    return 9.0 + max(spots)


def write_table(path: Path, rows: list[list[float]]) -> None:
    """As a camera's export does it: two lines of heading, then one line a row."""
    lines = [
        "Temperatures in °C;;;",
        f"{WIDTH} x {HEIGHT};;;",
        *(";".join(f"{one:.2f}" for one in row) for row in rows),
    ]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def area_of(name: str, half: int = 8) -> str:
    """The marked place of a device, as it is typed."""
    x, y = PLACES[name]
    return f"{name}=ellipse:{x - half},{y - half},{2 * half},{2 * half}"
