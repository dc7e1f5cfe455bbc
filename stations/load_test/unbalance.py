"""Unbalance of three phases from three magnitudes.

By largest departure: 100 · max|x − mean| / mean, nothing rounded in between. By negative sequence: with
β = Σx⁴ / (Σx²)², u2 = 100 · √((1 − √(3 − 6β)) / (1 + √(3 − 6β))). The second holds for line-to-line volts and
for line currents without a neutral, because only those close to a triangle.
"""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Annotated, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured

CAUTION = (
    "Meter and fused leads of the right category; covers on as soon as you have read. At a drive's output "
    "only a true-rms meter with a filter reads right. Above 5 % do not run a motor."
)
LARGEST = 1e6
NEARLY = 1e-12


class Limits(BaseModel):
    """What ``unbalance.toml`` holds; percent of the mean."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    below_percent: float
    source: str


@cache
def limits() -> Limits:
    """The published limit."""
    return Limits.model_validate(tomllib.loads(Path(__file__).with_name("unbalance.toml").read_text(encoding="utf-8")))


class Unbalance(BaseModel):
    """Three magnitudes in one unit: as `readings`, or one by one as `a`, `b` and `c`."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    readings: tuple[Annotated[float, Field(ge=0, le=LARGEST)], ...] = Field(
        default=(), description="the three readings"
    )
    a: float | None = Field(default=None, ge=0, le=LARGEST, description="first reading, if typed one by one")
    b: float | None = Field(default=None, ge=0, le=LARGEST, description="second reading")
    c: float | None = Field(default=None, ge=0, le=LARGEST, description="third reading")
    below_percent: float = measured(
        "%", "largest departure must be below", default=limits().below_percent, above=0, at_most=100
    )

    @model_validator(mode="after")
    def _three_of_one_kind(self) -> Self:
        single = [one for one in (self.a, self.b, self.c) if one is not None]
        if (len(self.readings), len(single)) not in ((3, 0), (0, 3)):
            raise ValueError("give three readings, or a, b and c")
        return self

    @property
    def three(self) -> tuple[float, ...]:
        return self.readings or tuple(one for one in (self.a, self.b, self.c) if one is not None)


def unbalance(given: Unbalance) -> Finding:
    """Unbalance of three phases: passes when the largest departure from the mean is below the limit.

    Values: mean (as the readings), max_deviation_percent and negative_sequence_percent (%). The limit itself
    fails. Raises InputError
    if the three cannot close to a triangle: then one of them was misread. Source: NEMA's definition, and the
    formula of IEC 61000-4-30 for the negative sequence.
    """
    three = given.three
    if not max(three) > 0:
        raise InputError("All three readings are zero: nothing can be compared. Is the supply on?")
    if max(three) > (sum(three) - max(three)) * (1 + NEARLY):
        raise InputError(
            f"{' / '.join(f'{one:g}' for one in three)} cannot be three phases of one supply: the largest is "
            "more than the other two together. Read them again."
        )
    mean = sum(three) / 3
    departure = max(abs(one - mean) for one in three)
    percent = 100 * departure / mean
    negative = _negative_sequence_percent(three)
    good = percent < given.below_percent
    return Finding(
        verdict=Verdict.PASS if good else Verdict.FAIL,
        says=f"largest departure {percent:.3g} % of the mean, {'below' if good else 'not below'} the limit",
        values=(
            Figure(name="mean", value=mean),
            Figure(name="max_deviation_percent", value=percent, unit="%"),
            Figure(name="negative_sequence_percent", value=negative, unit="%"),
        ),
        limit=f"below {given.below_percent:g} %",
        working=(
            f"mean of {', '.join(f'{one:g}' for one in three)} = {mean:.6g}",
            f"100 × {departure:.6g} / {mean:.6g} = {percent:.4f} % (the limit itself fails)",
            f"negative sequence from β = Σx⁴ / (Σx²)²: {negative:.4f} %",
        ),
        source=limits().source,
        caution=CAUTION,
    )


def _negative_sequence_percent(three: tuple[float, ...]) -> float:
    shares = [(one / max(three)) ** 2 for one in three]
    beta = sum(share**2 for share in shares) / sum(shares) ** 2
    root = min(math.sqrt(max(3 - 6 * beta, 0.0)), 1.0)
    return 100 * math.sqrt((1 - root) / (1 + root))
