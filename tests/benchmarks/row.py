"""What a benchmark hands back, how large it runs, and how ours and the floor are timed side by side.

A benchmark is a module of this folder with a docstring whose first line says what it times, named in ``NAMES``,
with one function ``measure(size: Size) -> list[Row]``. Each runs in a process of its own.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from importlib import import_module
from pathlib import Path

NAMES = ("start", "scan", "answer", "forty_terminals", "brief", "heat_log", "labels", "typing")
LITTLE = 2
STATUS, FORGET = Path("/proc/self/status"), Path("/proc/self/clear_refs")


class Size(StrEnum):
    """How large: to see that it runs at all (a second or two), within three minutes for all, as asked for."""

    TINY = "tiny"
    SHORT = "short"
    FULL = "full"

    def choose(self, tiny: int, short: int, full: int) -> int:
        return {Size.TINY: tiny, Size.SHORT: short, Size.FULL: full}[self]


@dataclass(frozen=True)
class Row:
    """One line of the table."""

    name: str
    ours: float
    floor: float | None
    """In the same unit, of the same run; None where a figure is wanted of ours itself, not a ratio."""
    unit: str
    wanted: float
    """At most this ratio to the floor; at most this of ours where there is no floor."""
    memory: float
    """Peak of this process (MB), see `peak_memory`."""

    @property
    def ratio(self) -> float | None:
        return None if self.floor is None else self.ours / self.floor

    @property
    def met(self) -> bool:
        return (self.ours if self.ratio is None else self.ratio) <= self.wanted


def measured(name: str, size: Size) -> list[Row]:
    rows: list[Row] = import_module(f"{__package__}.{name}").measure(size)
    return rows


def peak_memory() -> float:
    """The most that this process held since it began or `forget_peak` (MB, resident; Linux, proc(5))."""
    line = next(line for line in STATUS.read_text(encoding="ascii").splitlines() if line.startswith("VmHWM"))
    return int(line.split()[1]) / 1024


def forget_peak() -> None:
    FORGET.write_text("5", encoding="ascii")


def timed(act: Callable[[], object], clock: Callable[[], float] = time.perf_counter) -> float:
    """Milliseconds of one go; with `time.process_time` those of this process alone."""
    start = clock()
    act()
    return (clock() - start) * 1000


def side_by_side(
    ours: Callable[[], object],
    floor: Callable[[], object],
    rounds: int,
    clock: Callable[[], float] = time.perf_counter,
) -> tuple[float, float]:
    """Medians (ms) of both, taken in turn, so that what else the machine does meets both alike. The first goes,
    which warm up, are not counted."""
    for _ in range(LITTLE):
        ours()
        floor()
    pairs = [(timed(ours, clock), timed(floor, clock)) for _ in range(rounds)]
    return statistics.median(mine for mine, _ in pairs), statistics.median(bare for _, bare in pairs)
