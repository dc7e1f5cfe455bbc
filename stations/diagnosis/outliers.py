"""How far one of several like readings stands from the others in statistical terms: a hint, never the rule."""

from __future__ import annotations

import math
import statistics
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict

from traveller.judgement import Figure

Sides = Literal["two-sided", "only high", "only low"]
Significance = Literal["5 %", "1 %"]
FEWEST = 3
UNDEFINED = "undefined"


class ModifiedZ(BaseModel):
    """The factor of the modified z score and the score from which it is flagged."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    factor: float
    flagged_above: float
    source: str


class Level(BaseModel):
    """Critical values of the Grubbs test at one level, for 4 readings, 5, 6 and so on."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    sides: Literal["two-sided", "one-sided"]
    significance: Significance
    alpha: float
    critical: tuple[float, ...]

    def critical_for(self, count: int) -> float:
        return self.critical[count - FEWEST - 1]

    def tail(self, count: int) -> float:
        """The chance that is left to one reading of `count` on one side."""
        return self.alpha / count / (2 if self.sides == "two-sided" else 1)


class Grubbs(BaseModel):
    """The Grubbs test at its levels, and below how many siblings it says little."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    weak_below: int
    source: str
    level: tuple[Level, ...]

    def at(self, sides: Sides, significance: Significance) -> Level:
        """The level for a question: too high only and too low only are both one-sided."""
        kind = "two-sided" if sides == "two-sided" else "one-sided"
        return next(one for one in self.level if (one.sides, one.significance) == (kind, significance))


class Figures(BaseModel):
    """What ``outliers.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    modified_z: ModifiedZ
    grubbs: Grubbs


@cache
def published() -> Figures:
    """The statistical figures, from the data file."""
    return Figures.model_validate(tomllib.loads(Path(__file__).with_name("outliers.toml").read_text(encoding="utf-8")))


def _largest(readings: tuple[float, ...], sides: Sides) -> float:
    """The largest departure from the mean on the sides that are asked for."""
    mean = statistics.fmean(readings)
    high, low = max(readings) - mean, mean - min(readings)
    return {"two-sided": max(high, low), "only high": high, "only low": low}[sides]


def grubbs(readings: tuple[float, ...], sides: Sides, significance: Significance) -> tuple[Figure, ...]:
    """G = largest departure from the mean / s, s with n − 1, and its critical value; from four readings."""
    if len(readings) <= FEWEST:
        return ()
    spread = 0.0 if any(map(math.isinf, readings)) else statistics.stdev(readings)
    g = _largest(readings, sides) / spread if spread else UNDEFINED
    critical = published().grubbs.at(sides, significance).critical_for(len(readings))
    return Figure(name="grubbs_g", value=g), Figure(name="grubbs_critical", value=critical)


def modified_z(readings: tuple[float, ...], far: int) -> tuple[Figure, ...]:
    """0.6745 × (x − median) / MAD of the farthest reading; from four readings."""
    if len(readings) <= FEWEST:
        return ()
    median = statistics.median(readings)
    mad = 0.0 if math.isinf(median) else statistics.median(abs(value - median) for value in readings)
    defined = mad and not math.isinf(mad) and not math.isinf(readings[far])
    z = published().modified_z.factor * (readings[far] - median) / mad if defined else UNDEFINED
    return (Figure(name="modified_z", value=z),)


def known_sigma(
    readings: tuple[float, ...], sigma: float | None, sides: Sides, significance: Significance
) -> tuple[Figure, ...]:
    """T = largest departure from the mean / sigma, against the normal quantile × √(1 − 1/n); from three readings."""
    if sigma is None or any(map(math.isinf, readings)):
        return ()
    n = len(readings)
    tail = published().grubbs.at(sides, significance).tail(n)
    critical = statistics.NormalDist().inv_cdf(1 - tail) * math.sqrt(1 - 1 / n)
    return (
        Figure(name="known_sigma_t", value=_largest(readings, sides) / sigma),
        Figure(name="known_sigma_critical", value=critical),
    )


def lines(
    figures: tuple[Figure, ...], readings: tuple[float, ...], sides: Sides, significance: Significance
) -> Iterator[str]:
    """The working of the figures."""
    found = {figure.name: figure.value for figure in figures}
    asked = f"{sides}, {significance}"
    if "grubbs_g" in found:
        critical = f"critical {found['grubbs_critical']:.5g} ({asked}), used once"
        if isinstance(found["grubbs_g"], str):
            yield f"Grubbs G = {found['grubbs_g']}, {critical}"
        else:
            mean, spread = statistics.fmean(readings), statistics.stdev(readings)
            yield (
                f"Grubbs G = {_largest(readings, sides):.6g} from the mean {mean:.8g} / s {spread:.8g} ="
                f" {found['grubbs_g']:.5g}, {critical}"
            )
        z = found["modified_z"]
        shown = "undefined: MAD = 0 or OL" if isinstance(z, str) else f"{z:.4g}"
        yield f"modified z of the farthest = {shown}, flagged above {published().modified_z.flagged_above:g}"
    if "known_sigma_t" in found:
        critical = f"critical {found['known_sigma_critical']:.5g} ({asked})"
        yield f"against the meter's sigma: T = {found['known_sigma_t']:.4g}, {critical}"
