"""The readings of siblings side by side: the odd one out is the suspect.

With three siblings every test of outliers knows only the ratio of the large gap to the small one, not what
the meter resolves: two equal readings make any third one an outlier. So the rule is a tolerance against the
median that is stated and kept in the record.
"""

from __future__ import annotations

import math
import statistics
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import COMMON_PRACTICE, Figure, Finding, Verdict, measured

from .outliers import FEWEST, Sides, Significance, grubbs, known_sigma, lines, modified_z, published

LARGEST = 1e12
NOBODY = "none"
CAUTION = (
    "A suspect is not a verdict: measure it again, out of circuit if you can. Siblings that all failed "
    "alike read alike."
)


class OddOneOut(BaseModel):
    """Readings of like devices, all in the same unit, and how far one may stand from their median."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    readings: tuple[Annotated[float, Field(ge=-LARGEST)], ...] = Field(
        max_length=48, description="readings of the siblings in order, OL for overrange"
    )
    tolerance: float = measured("%", "allowed departure from the median", above=0, at_most=1000)
    sigma: float | None = measured(
        "",
        "standard deviation of the meter, as the readings, where it is known",
        default=None,
        at_least=1e-12,
        at_most=1e12,
    )
    sides: Sides = Field(default="two-sided", description="what would be odd: either way, only too high, only too low")
    significance: Significance = Field(default="5 %", description="level of the tests of Grubbs and of known sigma")


def odd_one_out(given: OddOneOut) -> Finding:
    """Name the sibling that departs from the median by more than the tolerance.

    Values: median (as the readings), suspect (its place, counted from 1, or "none"), deviation (largest departure in
    % of the median), ratio (gap between the farthest reading and its neighbour over the spread of the others; inf if
    the others are equal). From four readings also grubbs_g, grubbs_critical (at the sides and the significance asked
    for) and modified_z of the farthest; "undefined" where they would divide by zero. With sigma, from three:
    known_sigma_t and known_sigma_critical. None of these decides. A departure exactly of the tolerance passes.
    Undecided if the median is zero. Raises InputError below three readings: two can disagree, but not say which is
    wrong.

    Source: common practice, a stated tolerance against the median; Grubbs and known sigma as in NIST Dataplot,
    modified z after Iglewicz and Hoaglin.
    """
    readings = given.readings
    if len(readings) < FEWEST:
        raise InputError(f"{len(readings)} readings cannot tell the odd one out: measure at least {FEWEST}.")
    if any(value > LARGEST and not math.isinf(value) for value in readings):
        raise InputError(f"A reading above {LARGEST:g} cannot be right: write OL for overrange.")
    median = statistics.median(readings)
    departures = [_departure(value, median) for value in readings]
    far = max(range(len(readings)), key=departures.__getitem__)
    odd = [place for place, gone in enumerate(departures) if _beyond(gone, given.tolerance)]
    suspect = far if odd and _stands_alone(far, odd, departures) else None
    verdict, says = _outcome(given, median, departures, odd, suspect)
    ratio = _gap_ratio(readings, far)
    level = (given.sides, given.significance)
    statistical = (
        *grubbs(readings, *level),
        *modified_z(readings, far),
        *known_sigma(readings, given.sigma, *level),
    )
    return Finding(
        verdict=verdict,
        says=says,
        values=(
            Figure(name="median", value=median),
            Figure(name="suspect", value=NOBODY if suspect is None else float(suspect + 1)),
            Figure(name="deviation", value=departures[far], unit="%"),
            Figure(name="ratio", value=ratio),
            *statistical,
        ),
        limit=f"within {given.tolerance:g} % of the median",
        working=(
            f"median of {', '.join(map(_shown, readings))} = {_shown(median)}",
            f"farthest: reading {far + 1}, 100 × |{_shown(readings[far])} − {_shown(median)}| /"
            f" |{_shown(median)}| = {_shown(departures[far])} % (at {given.tolerance:g} % it still passes)",
            f"its gap to the nearest / spread of the others = {_shown(ratio)}",
            *lines(statistical, readings, *level),
            _what_they_can_say(len(readings)),
        ),
        source=f"{COMMON_PRACTICE}: a stated tolerance against the median of the siblings"
        + (f"; {published().grubbs.source}; {published().modified_z.source}" if statistical else ""),
        caution=CAUTION,
    )


def _shown(value: float) -> str:
    return "OL" if math.isinf(value) else f"{value:.6g}"


def _departure(value: float, median: float) -> float:
    """In percent of the median: 0 for the same value, inf where a percentage is undefined."""
    if value == median:
        return 0.0
    if median == 0 or math.isinf(value) or math.isinf(median):
        return math.inf
    return 100 * abs(value - median) / abs(median)


def _beyond(departure: float, tolerance: float) -> bool:
    return departure > tolerance and not math.isclose(departure, tolerance, rel_tol=1e-9)


def _stands_alone(far: int, odd: list[int], departures: list[float]) -> bool:
    """One suspect can be named: most siblings agree, and no other is as far away."""
    return 2 * len(odd) < len(departures) and departures.count(departures[far]) == 1


def _outcome(
    given: OddOneOut, median: float, departures: list[float], odd: list[int], suspect: int | None
) -> tuple[Verdict, str]:
    if not odd:
        return Verdict.PASS, f"all {len(departures)} within {given.tolerance:g} % of their median"
    if median == 0:
        return Verdict.UNDECIDED, "the median is zero, so a percentage says nothing: compare by eye"
    if suspect is None:
        return Verdict.FAIL, "they do not agree, and nothing here says which of them is right: measure again"
    others = [f"reading {place + 1}" for place in odd if place != suspect]
    also = f"; {' and '.join(others)} outside too" if others else ""
    return Verdict.FAIL, f"reading {suspect + 1} is the odd one out, {_gone(given, departures[suspect], suspect)}{also}"


def _gone(given: OddOneOut, departure: float, suspect: int) -> str:
    if math.isfinite(departure):
        return f"{departure:.4g} % from the median"
    return "over range" if math.isinf(given.readings[suspect]) else "not over range as the others are"


def _gap_ratio(readings: tuple[float, ...], far: int) -> float:
    rest = sorted(value for place, value in enumerate(readings) if place != far)
    gap = min(_distance(readings[far], value) for value in rest)
    spread = _distance(rest[-1], rest[0])
    if gap == 0:
        return 0.0
    return math.inf if spread == 0 or math.isinf(gap) else gap / spread


def _distance(one: float, other: float) -> float:
    return 0.0 if one == other else abs(one - other)


def _what_they_can_say(count: int) -> str:
    if count == FEWEST:
        return "three can say which one stands apart, not how likely that is: the tolerance is the rule"
    if count < published().grubbs.weak_below:
        return f"{count} siblings are few for any statistic: the tolerance is the rule, the rest is a hint"
    return f"{count} siblings: the tolerance is the rule, the statistics are a hint"
