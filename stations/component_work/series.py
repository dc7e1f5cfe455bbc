"""The preferred values of IEC 60063: which of them lies nearest, and which is the next one up."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path

from pydantic import BaseModel, ConfigDict

NAMES = ("E3", "E6", "E12", "E24", "E48", "E96")


class Preferred(BaseModel):
    """What ``series.toml`` holds: the coarse series as two-figure lists."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    E3: tuple[int, ...]
    E6: tuple[int, ...]
    E12: tuple[int, ...]
    E24: tuple[int, ...]

    def values(self, series: str) -> tuple[float, ...]:
        """The values of a series from 1 to below 10; E48 and E96 follow the formula."""
        fine = tuple(eia_96(number) / 100 for number in range(1, 97))
        if series in ("E48", "E96"):
            return fine[::2] if series == "E48" else fine
        figures: tuple[int, ...] = getattr(self, series)
        return tuple(figure / 10 for figure in figures)


@cache
def preferred() -> Preferred:
    """The series, from the data file."""
    return Preferred.model_validate(tomllib.loads(Path(__file__).with_name("series.toml").read_text(encoding="utf-8")))


def eia_96(number: int) -> int:
    """The three figures of EIA-96 code `number` (1 to 96), which are those of E96."""
    return round(100 * 10 ** ((number - 1) / 96))


def nearest(value: float, series: str) -> float:
    """The value of the series that lies nearest, by the difference; halfway the lower one. 0 stays 0."""
    if value <= 0:
        return 0.0
    return min(_around(value, series), key=lambda one: (abs(one - value), one))


def _around(value: float, series: str) -> list[float]:
    """The series in the decade of the value and in both beside it."""
    decade = math.floor(math.log10(value))
    figures = preferred().values(series)
    return [float(f"{one:.2f}e{power}") for power in (decade - 1, decade, decade + 1) for one in figures]


def next_up(value: float, series: str) -> float:
    """The smallest value of the series that is not below `value`, which itself counts. 0 stays 0."""
    if value <= 0:
        return 0.0
    return min(one for one in _around(value, series) if one >= value or math.isclose(one, value, rel_tol=1e-9))


def coarsest(value: float) -> str:
    """The series with the fewest values that has this one; "none" when none has."""
    return next((name for name in NAMES if math.isclose(nearest(value, name), value, rel_tol=1e-9)), "none")
