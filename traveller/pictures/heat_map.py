"""A grid of temperatures as cells of a terminal: two half blocks a cell, or a shade that needs no colour."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

from traveller.record.thermal import Grid

SHADES = " .:-=+*#%@"
RAMP = ((8, 12, 38), (92, 38, 94), (209, 84, 44), (250, 170, 60), (255, 248, 200))
"""From cold to hot, each lighter than the one before, so that it reads in grey and with any colour blindness."""

Colour = tuple[int, int, int]


def fitted(grid: Grid, columns: int, lines: int) -> tuple[int, int]:
    """(columns, lines) of cells, within the room given, in which the picture keeps its shape."""
    scale = min(columns / grid.width, 2 * lines / grid.height)
    return max(1, round(grid.width * scale)), max(1, math.ceil(grid.height * scale / 2))


def halves(grid: Grid, columns: int, lines: int) -> list[list[tuple[float, float]]]:
    """The hottest point (°C) behind the upper and the lower half of each cell, so that no hot spot is averaged away."""
    across = [_span(grid.width, columns, n) for n in range(columns)]
    down = [_span(grid.height, 2 * lines, n) for n in range(2 * lines)]
    flat = [[_hottest(grid, column, row) for column in across] for row in down]
    return [list(zip(upper, lower, strict=True)) for upper, lower in zip(flat[::2], flat[1::2], strict=True)]


def _span(size: int, parts: int, part: int) -> range:
    start = min(size * part // parts, size - 1)
    return range(start, max(start + 1, min(size, size * (part + 1) // parts)))


def _hottest(grid: Grid, columns: range, rows: range) -> float:
    known = [one for one in _points(grid, columns, rows) if not math.isnan(one)]
    return max(known) if known else math.nan


def _points(grid: Grid, columns: range, rows: range) -> Iterator[float]:
    for row in rows:
        yield from grid.celsius[row * grid.width + columns.start : row * grid.width + columns.stop]


def share(celsius: float, coldest: float, hottest: float) -> float:
    """Where a temperature lies between the ends of the scale, 0 to 1; NaN counts as cold."""
    if math.isnan(celsius) or hottest <= coldest:
        return 0.0
    return min(1.0, max(0.0, (celsius - coldest) / (hottest - coldest)))


def shade(part: float) -> str:
    """The hotter, the more ink."""
    return SHADES[min(len(SHADES) - 1, int(part * len(SHADES)))]


def colour(part: float) -> Colour:
    steps = list(pairwise(RAMP))
    at = min(len(steps) - 1, int(part * len(steps)))
    low, high = steps[at]
    rest = part * len(steps) - at
    red, green, blue = (round(a + (b - a) * rest) for a, b in zip(low, high, strict=True))
    return red, green, blue
