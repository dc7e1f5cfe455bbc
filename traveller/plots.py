"""Pictures of plain characters: bars of siblings, and a trace over its reference. They need no colour."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence

from traveller.quantities import show
from traveller.record.siblings import ODD, Row

FULL, MEDIAN, BEYOND = "█", "┃", "▶"
REFERENCE, SUSPECT = "·", "•"
Points = Sequence[tuple[float, float]]


def bar(value: float, median: float, reach: tuple[float, float], width: int) -> str:
    """One bar from zero to the value on a scale from the lower to the upper end of `reach`, the median marked.

    A reading over range fills the scale and ends in an arrow.
    """
    cells = [" "] * width
    zero, end = _place(0.0, reach, width), _place(value, reach, width)
    for place in range(min(zero, end), max(zero, end) + (0 if zero == end else 1)):
        cells[place] = FULL
    if math.isfinite(median):
        cells[_place(median, reach, width)] = MEDIAN
    if math.isinf(value):
        cells[-1] = BEYOND
    return "".join(cells)


def reach_of(values: Sequence[float]) -> tuple[float, float]:
    """The scale that holds zero and every finite value, with a tenth to spare beyond the largest."""
    finite = [one for one in values if math.isfinite(one)]
    low, high = min([0.0, *finite]), max([0.0, *finite])
    return low, high + 0.1 * (high - low) if high > low else low + 1.0


def _place(value: float, reach: tuple[float, float], width: int) -> int:
    low, high = reach
    if math.isinf(value):
        return width - 1
    return min(width - 1, max(0, round((value - low) / (high - low) * (width - 1))))


def trace_lines(reference: Points, suspect: Points, worst: float | None, width: int, height: int) -> list[str]:
    """`height` lines of at most `width` cells: the suspect over its reference, the worst point by arrow and words.

    The last line is the scale of the volts; the amps stand at the left. Either curve may be empty.
    """
    both = [*reference, *suspect]
    if not both:
        return ["nothing was traced"]
    x_reach = _span([volts for volts, _amps in both])
    y_reach = _span([amps for _volts, amps in both])
    labels = [show(y_reach[1], "A", 3), show(y_reach[0], "A", 3)]
    left = max(len(one) for one in labels)
    columns, rows = max(10, width - left - 2), max(4, height - 1)
    grid = [[" "] * columns for _ in range(rows)]
    _zero_lines(grid, x_reach, y_reach)
    _draw(grid, reference, REFERENCE, x_reach, y_reach)
    _draw(grid, suspect, SUSPECT, x_reach, y_reach)
    if worst is not None and suspect:
        _point_at(grid, worst, suspect, x_reach, y_reach)
    head = [labels[0], *[""] * (rows - 2), labels[1]]
    lines = [f"{label:>{left}} │{''.join(cells)}".rstrip() for label, cells in zip(head, grid, strict=True)]
    low, high = show(x_reach[0], "V", 3), show(x_reach[1], "V", 3)
    return [*lines, f"{' ' * left} └{low}{high:>{max(1, columns - len(low))}}"]


def _span(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    return (low, high) if high > low else (low - 1, high + 1)


def _row(amps: float, reach: tuple[float, float], rows: int) -> int:
    return rows - 1 - _place(amps, reach, rows)


def _zero_lines(grid: list[list[str]], x_reach: tuple[float, float], y_reach: tuple[float, float]) -> None:
    rows, columns = len(grid), len(grid[0])
    if y_reach[0] < 0 < y_reach[1]:
        grid[_row(0.0, y_reach, rows)] = ["┄"] * columns
    if x_reach[0] < 0 < x_reach[1]:
        for cells in grid:
            cells[_place(0.0, x_reach, columns)] = "┆"


def _draw(
    grid: list[list[str]], points: Points, mark: str, x_reach: tuple[float, float], y_reach: tuple[float, float]
) -> None:
    """A mark in every column that the curve covers, and above or below it as far as the curve rises there."""
    rows, columns = len(grid), len(grid[0])
    curve = sorted(points)
    before: int | None = None
    for column in range(columns):
        amps = _amps_at(curve, x_reach[0] + column / (columns - 1) * (x_reach[1] - x_reach[0]))
        if amps is None:
            continue
        row = _row(amps, y_reach, rows)
        start = row if before is None else before + (row > before) - (row < before)
        for one in range(min(start, row), max(start, row) + 1):
            grid[one][column] = mark
        before = row


def _amps_at(curve: Points, volts: float) -> float | None:
    """Along straight lines between the points; None outside of them."""
    slack = 1e-9 * max(1.0, abs(volts))
    if not curve or not curve[0][0] - slack <= volts <= curve[-1][0] + slack:
        return None
    place = bisect_left(curve, (volts, -math.inf))
    if place == 0:
        return curve[0][1]
    if place == len(curve):
        return curve[-1][1]
    (x0, y0), (x1, y1) = curve[place - 1], curve[place]
    return y1 if x1 == x0 else y0 + (y1 - y0) * (volts - x0) / (x1 - x0)


def _point_at(
    grid: list[list[str]], volts: float, suspect: Points, x_reach: tuple[float, float], y_reach: tuple[float, float]
) -> None:
    rows, columns = len(grid), len(grid[0])
    amps = _amps_at(sorted(suspect), volts)
    if amps is None:
        return
    row, column = _row(amps, y_reach, rows), _place(volts, x_reach, columns)
    at, arrow = (row - 1, "▼") if row > 0 else (row + 1, "▲")
    grid[at][column] = arrow
    words = f" worst, {show(volts, 'V', 3)} "
    start = column + 1 if column + 1 + len(words) <= columns else max(0, column - len(words))
    for place, letter in enumerate(words[: columns - start], start):
        grid[at][place] = letter


def row_bars(row: Row, width: int) -> list[str]:
    """A line for each device of a row: sign, name, bar, reading, and the word where it is the odd one."""
    values = {device: one.value for device, one in row.readings.items()}
    reach = reach_of([*values.values(), row.median])
    odd = {device: "  odd" if device == row.suspect else "" for device in values}
    said = {device: f"{'OL' if math.isinf(v) else show(v, row.unit)}{odd[device]}" for device, v in values.items()}
    name, behind = (max((len(one) for one in column), default=0) for column in (values, said.values()))
    length = max(8, width - name - behind - 4)
    return [
        f"{ODD if odd[device] else ' '} {device:{name}} {bar(value, row.median, reach, length)} {said[device]}"
        for device, value in values.items()
    ]
