"""Is the temperature steady, and where will it end?

θ(t) = θu · (1 − e^(−t/τ)). From three equal steps: θu = (θ2² − θ1·θ3) / (2θ2 − θ1 − θ3) and
τ = h / ln((θ2 − θ1) / (θ3 − θ2)); from other readings by least squares (``levelling.py``). A rising
temperature is not a result: it has to be steady, or its end predictable and safe.
"""

from __future__ import annotations

import math
import tomllib
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured

from .levelling import End, end_of

CAUTION = (
    "What is worked out ahead never replaces the hold. Set a trip below what the parts can stand, and stay "
    "with it. A drift of the ambient spoils the rise. Burns: leave the fans on after the load is off."
)
NEARLY = 1e-9


class Criterion(BaseModel):
    """A published criterion: no more than `kelvin` in `minutes`."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    kind: Literal["rate", "span"]
    kelvin: float
    minutes: float
    intervals: int = 1
    source: str

    def met(self, times: tuple[float, ...], kelvins: tuple[float, ...], shortest: float) -> bool:
        return self._slow(times, kelvins, shortest) if self.kind == "rate" else self._narrow(times, kelvins)

    def _slow(self, times: tuple[float, ...], kelvins: tuple[float, ...], shortest: float) -> bool:
        """Over the last steps; readings that follow each other more closely than `shortest` are passed over."""
        allowed, later = self.kelvin / self.minutes, len(times) - 1
        for _ in range(self.intervals):
            sooner = max((i for i in range(later) if times[later] - times[i] >= shortest - NEARLY), default=None)
            if sooner is None:
                return False
            if abs(kelvins[later] - kelvins[sooner]) > allowed * (times[later] - times[sooner]) + NEARLY:
                return False
            later = sooner
        return True

    def _narrow(self, times: tuple[float, ...], kelvins: tuple[float, ...]) -> bool:
        start = times[-1] - self.minutes + NEARLY
        if times[0] > start:
            return False
        first = max(i for i, time in enumerate(times) if time <= start)
        return max(kelvins[first:]) - min(kelvins[first:]) <= self.kelvin + NEARLY

    def minutes_to_go(self, left: float, tau: float) -> float:
        """Minutes until a curve with `left` K to go and a time constant of `tau` min first meets it.

        By rate: until its slope has come down to it. By span: until the span that ends then is narrow enough.
        """
        if left <= 0:
            return 0.0
        if self.kind == "rate":
            return max(0.0, tau * math.log(left * self.minutes / (tau * self.kelvin)))
        spans = self.minutes / tau
        return max(0.0, tau * (math.log(left / self.kelvin) + spans + math.log(-math.expm1(-spans))))


class Limits(BaseModel):
    """What ``steady.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    share_reached: float
    share_source: str
    shortest: float
    fall_allowed: float
    criterion: tuple[Criterion, ...]


@cache
def limits() -> Limits:
    """The published criteria, and from where a curve may be carried on."""
    return Limits.model_validate(tomllib.loads(Path(__file__).with_name("steady.toml").read_text(encoding="utf-8")))


class Steady(BaseModel):
    """Temperatures of one place under constant load, in order."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    times_min: tuple[Annotated[float, Field(ge=0, le=1e5)], ...] = Field(
        min_length=3, max_length=500, description="minutes since full load", json_schema_extra={"unit": "min"}
    )
    temperatures: tuple[Annotated[float, Field(ge=-40, le=2000)], ...] = Field(
        min_length=3, max_length=500, description="readings at those times", json_schema_extra={"unit": "°C"}
    )
    ambient: float = measured("°C", "air where it draws in", at_least=-40, at_most=100)
    criterion: Literal[
        "2 K per hour, twice",
        "2 K per hour",
        "1 K per hour",
        "1 K in half an hour",
        "1 K in a quarter of an hour",
        "2 K in a quarter of an hour",
        "3 K in a quarter of an hour",
    ] = Field(default="2 K per hour, twice", description="what counts as steady")
    allowed: float | None = measured(
        "°C", "highest temperature that is safe, by the maker", default=None, at_least=-40, at_most=2000
    )

    @model_validator(mode="after")
    def _pairs_in_order(self) -> Self:
        if len(self.times_min) != len(self.temperatures):
            raise ValueError("give as many temperatures as times")
        if any(later <= sooner for sooner, later in zip(self.times_min, self.times_min[1:], strict=False)):
            raise ValueError("give the times in order, none twice")
        return self


def steady(given: Steady) -> Finding:
    """Whether a temperature has become steady, where it will end, and how many minutes are still missing.

    Pass if steady, or if its end is predictable and not above `allowed`; a known excess fails; rising, without
    `allowed`: undecided. Values: steady (yes or no), final_c (°C), minutes_to_steady (from the last reading, 0
    if steady), slope_k_per_h (K/h, last step), and if the curve levels off final_rise_k (K) and tau_min (min),
    with more than three readings also final_u_k: U (k = 2) of the end as the scatter shows it (K).
    Raises InputError for a curve that is not steady and falls, does not level off, or has not come to 60 % of
    its end. Source: IEC 60034-1 and the other criteria of steady.toml; IEC 60076-2 for the end of the curve.
    """
    rule = next(one for one in limits().criterion if one.name == given.criterion)
    rises = tuple(one - given.ambient for one in given.temperatures)
    met = rule.met(given.times_min, given.temperatures, limits().shortest)
    end = _end(given.times_min, rises, must=not met)
    final = max(given.temperatures[-1], given.ambient + end.rise) if end and not met else given.temperatures[-1]
    wait = rule.minutes_to_go(end.left, end.time_constant) if end and not met else 0.0
    slope = 60 * (rises[-1] - rises[-2]) / (given.times_min[-1] - given.times_min[-2])
    return Finding(
        verdict=_verdict(met, final, given.allowed),
        says=_says(met, final, wait, given),
        values=(
            Figure(name="steady", value="yes" if met else "no"),
            Figure(name="final_c", value=given.ambient + end.rise if end else final, unit="°C"),
            *_figures(end),
            Figure(name="minutes_to_steady", value=wait, unit="min"),
            Figure(name="slope_k_per_h", value=slope, unit="K/h"),
        ),
        limit=f"{rule.name}{'' if given.allowed is None else f'; at most {given.allowed:g} °C'}",
        working=(
            f"last step {slope:.3g} K/h; criterion {rule.name}: {'met' if met else 'not met'}",
            *_end_lines(end, rises[-1]),
            f"on this curve the criterion can be met in {wait:.4g} min; a value on a limit meets it",
        ),
        source=f"{rule.source}; {limits().share_source}",
        caution=CAUTION,
    )


def _end(times: tuple[float, ...], rises: tuple[float, ...], *, must: bool) -> End | None:
    """Where the curve ends; None if that cannot be told and need not be."""
    if must:
        _need_no_fall(rises)
    end = end_of(times, rises)
    if not must:
        return end if end and _far_enough(end, rises[-1]) else None
    if end is None:
        raise InputError(
            "The temperature is not levelling off, so nobody can say where it ends: keep the load on, watch "
            "the trip, and read again after the same step."
        )
    if not _far_enough(end, rises[-1]):
        raise InputError(
            f"Only {rises[-1]:.3g} K of about {end.rise:.3g} K is reached, less than "
            f"{limits().share_reached:.0%}: too soon to say where it ends. Keep the load on and read again."
        )
    return end


def _need_no_fall(rises: tuple[float, ...]) -> None:
    for place, (before, after) in enumerate(pairwise(rises), start=2):
        if before - after > limits().fall_allowed:
            raise InputError(
                f"Reading {place} fell by {before - after:.3g} K: this is not one run under constant load. Leave out "
                "what was read before the change, keep the load on and read again."
            )


def _far_enough(end: End, reached: float) -> bool:
    return reached >= limits().share_reached * end.rise


def _verdict(met: bool, final: float, allowed: float | None) -> Verdict:
    if allowed is not None:
        return Verdict.PASS if final <= allowed else Verdict.FAIL
    return Verdict.PASS if met else Verdict.UNDECIDED


def _says(met: bool, final: float, wait: float, given: Steady) -> str:
    going = f"still rising, ends at about {final:.3g} °C, steady in {wait:.0f} min at the earliest"
    words = f"steady at {final:.4g} °C" if met else going
    if given.allowed is None:
        return words if met else f"{words}: hold on, or say what is allowed"
    return f"{words}, {'not above' if final <= given.allowed else 'above'} the {given.allowed:g} °C allowed"


def _figures(end: End | None) -> tuple[Figure, ...]:
    if end is None:
        return ()
    return (
        Figure(name="tau_min", value=end.time_constant, unit="min"),
        Figure(name="final_rise_k", value=end.rise, unit="K"),
        *(() if end.uncertainty is None else (Figure(name="final_u_k", value=end.uncertainty, unit="K"),)),
    )


def _end_lines(end: End | None, reached: float) -> tuple[str, ...]:
    if end is None:
        return ("the curve does not show where it would end",)
    share = f"{reached / end.rise:.0%}" if end.rise > 0 and math.isfinite(reached / end.rise) else "all"
    return (
        f"end by {end.how}: rise {end.rise:.4g} K{_plus_minus(end)}, time constant {end.time_constant:.4g} min",
        f"reached {reached:.4g} K, {share} of it (at least {limits().share_reached:.0%} is asked for)",
    )


def _plus_minus(end: End) -> str:
    return "" if end.uncertainty is None else f" ± {end.uncertainty:.2g} K (k = 2, from the scatter)"
