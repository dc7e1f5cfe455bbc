"""What unbalance does to a motor: what it may still give, how much hotter it gets, and its negative sequence."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

from pydantic import BaseModel, ConfigDict

from traveller.judgement import Figure
from traveller.quantities import show


class Usual(BaseModel):
    """A limit for the largest departure from the mean, percent, and where it comes from."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    below_percent: float
    source: str


class Derating(BaseModel):
    """Points of a published derating: percent of unbalance, share of the rated output."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    points: tuple[tuple[float, float], ...]
    source: str

    def at(self, percent: float) -> float | None:
        """Straight between two points; None beyond them."""
        for (low, share), (high, next_share) in pairwise(self.points):
            if low <= percent <= high:
                return share + (next_share - share) * (percent - low) / (high - low)
        return None


class Heat(BaseModel):
    """How unbalance heats a motor."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    per_square: float
    heating_factor: float
    source: str


class Limits(BaseModel):
    """What ``unbalance.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    volts: Usual
    amps: Usual
    derating: tuple[Derating, ...]
    heat: Heat


@cache
def limits() -> Limits:
    """The published figures."""
    return Limits.model_validate(tomllib.loads(Path(__file__).with_name("unbalance.toml").read_text(encoding="utf-8")))


class Sequences(NamedTuple):
    """Positive and negative sequence of three currents (A)."""

    positive: float
    negative: float

    def equivalent(self, heating_factor: float) -> float:
        """The balanced current that heats as much: √(I1² + K · I2²)."""
        return math.sqrt(self.positive**2 + heating_factor * self.negative**2)


def closing(three: tuple[float, ...], share: float) -> Sequences:
    """Of currents without a neutral, which close to a triangle; `share` is negative over positive."""
    positive = math.sqrt(sum(one * one for one in three) / 3 / (1 + share * share))
    return Sequences(positive, share * positive)


def evenly_apart(three: tuple[float, ...]) -> Sequences:
    """Of currents taken to stand 120° apart, as some books do; right only with a neutral that carries the rest."""
    a, b, c = three
    inner = max(0.0, a * a + b * b + c * c - a * b - b * c - c * a)
    return Sequences(sum(three) / 3, math.sqrt(inner) / 3)


def on_volts(percent: float, derating: str) -> tuple[tuple[Figure, ...], tuple[str, ...], str]:
    """What a motor may still give and how much hotter it gets at so many percent: values, working, source."""
    table = next(one for one in limits().derating if one.name == derating)
    share, extra = table.at(percent), limits().heat.per_square * percent**2
    kept = () if share is None else (Figure(name="derating", value=share),)
    words = "beyond the table: do not run it" if share is None else f"{share:.4g} of the rated output"
    return (
        (*kept, Figure(name="extra_rise_percent", value=extra, unit="%")),
        (
            f"a motor on it, derating by {table.name}: {words}",
            f"it gets hotter by about {limits().heat.per_square:g} × {percent:.4g}² = {extra:.4g} % of its rise",
        ),
        f"{table.source}; {limits().heat.source}",
    )


def on_amps(
    found: Sequences, start_ratio: float | None, negative_volts_percent: float | None
) -> tuple[tuple[Figure, ...], tuple[str, ...], str]:
    """The sequences, the current that heats as much, and what the supply explains: values, working, source."""
    factor = limits().heat.heating_factor
    share = 100 * found.negative / found.positive
    equal = found.equivalent(factor)
    values: tuple[Figure, ...] = (
        Figure(name="positive_a", value=found.positive, unit="A"),
        Figure(name="negative_a", value=found.negative, unit="A"),
        Figure(name="negative_share_percent", value=share, unit="%"),
        Figure(name="equivalent_a", value=equal, unit="A"),
    )
    lines: tuple[str, ...] = (
        f"I1 = {show(found.positive, 'A')}, I2 = {show(found.negative, 'A')}: {share:.4g} %",
        f"heats as √(I1² + {factor:g} × I2²) = {show(equal, 'A')} of balanced current",
    )
    if start_ratio is not None and negative_volts_percent is not None:
        explained = start_ratio * negative_volts_percent
        values += (Figure(name="explained_percent", value=explained, unit="%"),)
        lines += (
            f"the supply explains about {start_ratio:g} × {negative_volts_percent:g} % = {explained:.4g} %: "
            "much more than that is the motor or its cable",
        )
    return values, lines, limits().heat.source
