"""Unbalance of three phases from three magnitudes.

By largest departure: 100 · max|x − mean| / mean, nothing rounded in between. By negative sequence: with
β = Σx⁴ / (Σx²)², u2 = 100 · √((1 − √(3 − 6β)) / (1 + √(3 − 6β))). The second holds for line-to-line volts and
for line currents without a neutral, because only those close to a triangle.
"""

from __future__ import annotations

import math
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured

from .unbalanced_motor import closing, evenly_apart, limits, on_amps, on_volts

CAUTION = (
    "Meter and fused leads of the right category; covers on as soon as you have read. At a drive's output "
    "only a true-rms meter with a filter reads right. Above 5 % do not run a motor."
)
LARGEST = 1e6
NEARLY = 1e-12


class Unbalance(BaseModel):
    """Three magnitudes in one unit: as `readings`, or one by one as `a`, `b` and `c`."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    readings: tuple[Annotated[float, Field(ge=0, le=LARGEST)], ...] = Field(
        default=(), description="the three readings"
    )
    a: float | None = Field(default=None, ge=0, le=LARGEST, description="first reading, if typed one by one")
    b: float | None = Field(default=None, ge=0, le=LARGEST, description="second reading")
    c: float | None = Field(default=None, ge=0, le=LARGEST, description="third reading")
    of: Literal["volts", "amps"] = Field(default="volts", description="line-to-line volts, or the currents of a motor")
    below_percent: float | None = measured(
        "%",
        f"largest departure must be below; left out: {limits().volts.below_percent:g} % of volts, "
        f"{limits().amps.below_percent:g} % of amps",
        default=None,
        above=0,
        at_most=100,
    )
    derating: Literal["nine points", "two points"] = Field(
        default="nine points", description="volts: published table of what a motor may still give"
    )
    phases: Literal["no neutral", "120 degrees apart"] = Field(
        default="no neutral", description="amps: what is known of their angles"
    )
    start_ratio: float | None = measured(
        "", "amps: starting current over running current of the motor", default=None, at_least=1, at_most=20
    )
    negative_volts_percent: float | None = measured(
        "%", "amps: negative sequence of the volts it is fed with", default=None, at_least=0, at_most=100
    )

    @model_validator(mode="after")
    def _three_of_one_kind(self) -> Self:
        single = [one for one in (self.a, self.b, self.c) if one is not None]
        if (len(self.readings), len(single)) not in ((3, 0), (0, 3)):
            raise ValueError("give three readings, or a, b and c")
        if self.of == "volts" and self.phases != "no neutral":
            raise ValueError("line-to-line volts always close to a triangle: choose no neutral")
        if (self.start_ratio is None) != (self.negative_volts_percent is None):
            raise ValueError("give the start ratio and the negative sequence of the volts, both")
        if self.of == "volts" and self.start_ratio is not None:
            raise ValueError("start ratio and negative sequence of the volts belong to amps: leave them out")
        return self

    @property
    def three(self) -> tuple[float, ...]:
        return self.readings or tuple(one for one in (self.a, self.b, self.c) if one is not None)


def unbalance(given: Unbalance) -> Finding:
    """Unbalance of three phases: passes when the largest departure from the mean is below the limit.

    Values: mean (as the readings), max_deviation_percent and negative_sequence_percent (%, not for amps 120° apart).
    Of volts: derating (share of the rated output of a motor, not beyond the table) and extra_rise_percent. Of amps:
    positive_a, negative_a, equivalent_a (A), negative_share_percent, and explained_percent where the motor's start
    ratio is given. The limit itself fails. Raises InputError if the three cannot close to a triangle: then one of
    them was misread.

    Source: NEMA's definition, and the formula of IEC 61000-4-30 for the negative sequence; Mbungu et al. for motors.
    """
    three = given.three
    mean = sum(three) / 3
    if not mean > 0:
        raise InputError("All three readings are zero: nothing can be compared. Is the supply on?")
    departure = max(abs(one - mean) for one in three)
    percent = 100 * departure / mean
    usual = limits().volts if given.of == "volts" else limits().amps
    below = usual.below_percent if given.below_percent is None else given.below_percent
    good = percent < below
    values, lines, source = _consequences(given, percent)
    return Finding(
        verdict=Verdict.PASS if good else Verdict.FAIL,
        says=f"largest departure {percent:.3g} % of the mean, {'below' if good else 'not below'} the limit",
        values=(
            Figure(name="mean", value=mean),
            Figure(name="max_deviation_percent", value=percent, unit="%"),
            *values,
        ),
        limit=f"below {below:g} %",
        working=(
            f"mean of {', '.join(f'{one:g}' for one in three)} = {mean:.6g}",
            f"100 × {departure:.6g} / {mean:.6g} = {percent:.4f} % (the limit itself fails)",
            *lines,
        ),
        source=f"{usual.source}; {source}",
        caution=CAUTION,
    )


def _consequences(given: Unbalance, percent: float) -> tuple[tuple[Figure, ...], tuple[str, ...], str]:
    """The negative sequence, and what it does to a motor: values, working, source."""
    if given.phases == "120 degrees apart":
        values, lines, source = on_amps(evenly_apart(given.three), given.start_ratio, given.negative_volts_percent)
        return values, ("taken 120° apart: without a neutral that gives only half of the truth", *lines), source
    _need_a_triangle(given.three)
    negative = _negative_sequence_percent(given.three)
    if given.of == "volts":
        values, lines, source = on_volts(percent, given.derating)
    else:
        found = closing(given.three, negative / 100)
        values, lines, source = on_amps(found, given.start_ratio, given.negative_volts_percent)
    line = f"negative sequence from β = Σx⁴ / (Σx²)²: {negative:.4f} %"
    figure = Figure(name="negative_sequence_percent", value=negative, unit="%")
    return (figure, *values), (line, *lines), source


def _need_a_triangle(three: tuple[float, ...]) -> None:
    if max(three) > (sum(three) - max(three)) * (1 + NEARLY):
        raise InputError(
            f"{' / '.join(f'{one:g}' for one in three)} cannot be three phases of one supply: the largest is "
            "more than the other two together. Read them again."
        )


def _negative_sequence_percent(three: tuple[float, ...]) -> float:
    shares = [(one / max(three)) ** 2 for one in three]
    beta = sum(share**2 for share in shares) / sum(shares) ** 2
    root = min(math.sqrt(max(3 - 6 * beta, 0.0)), 1.0)
    return 100 * math.sqrt((1 - root) / (1 + root))
