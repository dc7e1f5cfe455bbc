"""An invented logger on a load rig: currents, a heatsink that warms by a first-order law, scatter, a dip.

dθ/dt = (rise · load² − θ) / τ; the heat goes with the square of the current. Everything is drawn from one seed, so
that the same call writes the same file.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

HEADINGS = ("time", "U [A]", "V [A]", "W [A]", "heatsink [°C]", "ambient [°C]")
LONGEST_NAP = 0.2


@dataclass(frozen=True)
class Bench:
    """What is simulated. `steps` are (percent of rated, minutes), the last one is the hold; `dip_minute` counts from
    the beginning of the hold, None for none. `rise` is the end of the heatsink's rise at full load (K)."""

    amps: float = 12.0
    ambient: float = 23.0
    rise: float = 47.0
    tau: float = 40.0
    steps: tuple[tuple[float, float], ...] = ((25, 10), (50, 10), (75, 10), (100, 210))
    dip_minute: float | None = 20.0
    dip_seconds: float = 30.0
    seconds: float = 1.0
    scatter_amps: float = 0.004
    scatter_kelvin: float = 0.15
    seed: int = 7

    @property
    def minutes(self) -> float:
        return sum(minutes for _, minutes in self.steps)

    @property
    def hold_from(self) -> float:
        """Minutes from the start to the beginning of the hold."""
        return sum(minutes for _, minutes in self.steps[:-1])

    def load(self, minute: float) -> float:
        """The share of the rated current."""
        if self.dip_minute is not None and 0 <= (minute - self.hold_from - self.dip_minute) * 60 < self.dip_seconds:
            return 0.8
        for percent, minutes in self.steps:
            if minute < minutes:
                return percent / 100
            minute -= minutes
        return self.steps[-1][0] / 100

    def samples(self) -> Iterator[tuple[float, tuple[float, ...]]]:
        """Seconds from the start, and U, V, W (A), heatsink, ambient (°C)."""
        chance = random.Random(self.seed)
        warm, step = 0.0, self.seconds / 60
        for number in range(int(self.minutes * 60 / self.seconds) + 1):
            share = self.load(number * step)
            warm += (self.rise * share**2 - warm) * step / self.tau if number else 0.0
            phases = (self.amps * share * chance.gauss(1, self.scatter_amps) for _ in "UVW")
            heat = self.ambient + warm + chance.gauss(0, self.scatter_kelvin)
            yield number * self.seconds, (*phases, heat, self.ambient + chance.gauss(0, 0.05))


def lines(bench: Bench, begin: datetime) -> Iterator[str]:
    """The file as the logger writes it, line by line, times in ISO 8601."""
    yield ",".join(HEADINGS) + "\n"
    for seconds, values in bench.samples():
        at = (begin + timedelta(seconds=seconds)).isoformat(timespec="milliseconds")
        yield f"{at},{','.join(f'{value:.3f}' for value in values)}\n"


def write(bench: Bench, begin: datetime, speed: float, out: Callable[[str], object]) -> None:
    """Write the file at `speed` times the pace of a real logger."""
    began = time.monotonic()
    for number, line in enumerate(lines(bench, begin)):
        out(line)
        early = began + number * bench.seconds / speed - time.monotonic()
        if early > LONGEST_NAP:
            time.sleep(early)
