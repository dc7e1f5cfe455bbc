"""Curves in dots, with their limits drawn in: readable without colour and on 38 cells.

A braille character holds two dots across and four down (U+2800, the dots numbered 1 to 8 as in Unicode).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

Point = tuple[float, float]
LEFT = 6
DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
LIMIT = "╌"


@dataclass(frozen=True)
class Frame:
    """What part of the plane is drawn: x and y from, to."""

    x: tuple[float, float]
    y: tuple[float, float]


def frame(curves: Mapping[str, Sequence[Point]], limits: Sequence[float], least_x: float) -> Frame | None:
    """Everything that there is and the limits, with a little air above; None without a point."""
    points = [point for curve in curves.values() for point in curve if math.isfinite(point[1])]
    if not points:
        return None
    xs, ys = [x for x, _ in points], [*(y for _, y in points), *limits]
    low, high = min(ys), max(ys)
    air = (high - low) * 0.05 or max(abs(high), 1.0) * 0.05
    return Frame((min(xs), max(max(xs), min(xs) + least_x)), (low - air, high + air))


def plot(
    curves: Mapping[str, Sequence[Point]],
    width: int,
    height: int,
    limits: Sequence[float] = (),
    unit: str = "",
    least_x: float = 60.0,
) -> list[str]:
    """Lines of exactly `width` cells, at most `height` of them. The end of each curve carries the first letter of
    its name; limits run through as dashes, with their value at the left."""
    shown = frame(curves, limits, least_x)
    across, down = width - LEFT - 1, height
    if shown is None or across < 4 or down < 2:
        return [f"{'no reading yet':{max(width, 0)}}"[:width]]
    grid = [[0] * across for _ in range(down)]
    for curve in curves.values():
        _dots(grid, curve, shown)
    cells = [[chr(0x2800 + dots) if dots else " " for dots in row] for row in grid]
    heads = {0: _value(shown.y[1], unit), down - 1: _value(shown.y[0], "")}
    for limit in limits:
        row = _row(limit, shown, down)
        cells[row] = [LIMIT if cell == " " else cell for cell in cells[row]]
        heads[row] = _value(limit, "")
    for name, curve in curves.items():
        if curve:
            _letter(cells, name, curve[-1], shown)
    return [f"{heads.get(row, ''):>{LEFT}}│{''.join(line)}" for row, line in enumerate(cells)]


def _value(value: float, unit: str) -> str:
    shown = f"{value:.3g}" if abs(value) < 1000 else f"{value:.0f}"
    return f"{shown}{unit}"[:LEFT]


def _row(value: float, shown: Frame, down: int) -> int:
    share = (value - shown.y[0]) / (shown.y[1] - shown.y[0])
    return min(down - 1, max(0, int((1 - share) * down)))


def _place(point: Point, shown: Frame, across: int, down: int) -> tuple[int, int]:
    """The dot of a point: column and row of dots."""
    x = (point[0] - shown.x[0]) / (shown.x[1] - shown.x[0])
    y = (point[1] - shown.y[0]) / (shown.y[1] - shown.y[0])
    column = min(across * 2 - 1, max(0, int(x * across * 2)))
    return column, min(down * 4 - 1, max(0, int((1 - y) * down * 4)))


def _dots(grid: list[list[int]], curve: Sequence[Point], shown: Frame) -> None:
    """Every point as a dot, and the dots between two neighbours when the way between them is steep."""
    down, across = len(grid), len(grid[0])
    before: tuple[int, int] | None = None
    for point in curve:
        if not math.isfinite(point[1]):
            before = None
            continue
        column, row = _place(point, shown, across, down)
        first = row if before is None or column - before[0] > 2 else before[1]
        for dot in range(min(first, row), max(first, row) + 1):
            grid[dot // 4][column // 2] |= DOTS[dot % 4][column % 2]
        before = column, row


def _letter(cells: list[list[str]], name: str, end: Point, shown: Frame) -> None:
    """Behind the end of the curve; where another letter stands, in the next free cell above or below."""
    if not math.isfinite(end[1]):
        return
    column, row = _place(end, shown, len(cells[0]), len(cells))
    at = min(len(cells[0]) - 1, column // 2 + 1)
    near = sorted(range(len(cells)), key=lambda line: abs(line - row // 4))
    free = next((line for line in near if not cells[line][at].isalpha()), row // 4)
    cells[free][at] = name[:1]
