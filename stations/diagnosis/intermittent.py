"""A fault that shows now and then: what the runs say, and how many clean ones are needed."""

from __future__ import annotations

import math
from decimal import Decimal, localcontext
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured

DIGITS = 60
HALVINGS = 52
ROUNDING = 1e-12
SOURCE = "success-run rule without failures, classical form: n clean runs show R at confidence C when R^n ≤ 1 − C"
CAUTION = (
    "The runs count only if they stress the unit as the fault did: cold, hot, shaken, under load. One "
    "failing run and the count starts again."
)


class RunsNeeded(BaseModel):
    """The share of runs that must be clean in the long run, and how sure one wants to be of it."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    reliability: float = measured("%", "share of clean runs to be shown", at_least=1, at_most=99.999)
    confidence: float = measured("%", "how sure you want to be", at_least=1, at_most=99.999)


def runs_needed(given: RunsNeeded) -> Finding:
    """The fewest runs, all clean, that show the reliability at the confidence.

    Values: runs. Worked by testing R^n ≤ 1 − C in decimals, because the quotient of logarithms can land a
    hair above a whole number. The form with a prior, R = (1 − C)^(1/(n+1)), needs one run less and is not
    used.
    """
    runs = _fewest_runs(Decimal(str(given.reliability)) / 100, 1 - Decimal(str(given.confidence)) / 100)
    return Finding(
        verdict=Verdict.PASS,
        says=f"{runs} clean runs, none failing, before it may be called gone",
        values=(Figure(name="runs", value=float(runs)),),
        limit=f"{given.reliability:g} % clean runs, {given.confidence:g} % sure",
        working=(
            f"R = {given.reliability / 100:g}, 1 − C = {1 - given.confidence / 100:g}",
            f"fewest n with R^n ≤ 1 − C: n = {runs}, R^n = {(given.reliability / 100) ** runs:.4g}",
        ),
        source=SOURCE,
        caution=CAUTION,
    )


def _fewest_runs(reliability: Decimal, doubt: Decimal) -> int:
    with localcontext() as context:
        context.prec = DIGITS
        runs = max(1, math.floor(math.log(doubt) / math.log(reliability)) - 1)
        while reliability**runs > doubt:
            runs += 1
    return runs


class Intermittent(BaseModel):
    """The runs made, those that failed, and what the clean ones are to show."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    runs: int = Field(description="runs made", ge=1, le=5000)
    failures: int = Field(description="runs that failed", ge=0)
    reliability: float = measured("%", "share of clean runs to be shown", default=99, at_least=1, at_most=99.999)
    confidence: float = measured("%", "how sure you want to be", default=95, at_least=50, at_most=99.999)
    sides: Literal["one-sided", "two-sided"] = Field(
        default="one-sided", description="one bound at the whole confidence, or two that share the doubt"
    )


def intermittent(given: Intermittent) -> Finding:
    """What so many failures in so many runs say about the share of runs that fail in the long run.

    Values: share, lower, upper (%), exact after Clopper and Pearson. Any failure fails. Without failures it
    passes if the upper bound leaves the reliability, and is undecided if more clean runs are needed. Raises
    InputError if more runs failed than were made.
    """
    if given.failures > given.runs:
        raise InputError(f"{given.failures} of {given.runs} runs cannot have failed: correct one of the two.")
    doubt = (1 - given.confidence / 100) / (1 if given.sides == "one-sided" else 2)
    lower = 0.0 if given.failures == 0 else 1 - _upper_share(given.runs, given.runs - given.failures, doubt)
    upper = _upper_share(given.runs, given.failures, doubt)
    shown = upper <= 1 - given.reliability / 100 + ROUNDING
    bounds = f"between {100 * lower:.3g} % and {100 * upper:.3g} %"
    return Finding(
        verdict=Verdict.FAIL if given.failures else Verdict.PASS if shown else Verdict.UNDECIDED,
        says=_says(given, shown, upper),
        values=(
            Figure(name="share", value=100 * given.failures / given.runs, unit="%"),
            Figure(name="lower", value=100 * lower, unit="%"),
            Figure(name="upper", value=100 * upper, unit="%"),
        ),
        limit=f"no failure, and at most {100 - given.reliability:.4g} % failing at {given.confidence:g} %",
        working=(
            f"{given.failures} failures in {given.runs} runs = {100 * given.failures / given.runs:.3g} %",
            f"exact bounds, {given.sides}, {given.confidence:g} %: {bounds} of runs fail in the long run",
        ),
        source="exact bounds of a binomial share after Clopper and Pearson",
        caution=CAUTION,
    )


def _says(given: Intermittent, shown: bool, upper: float) -> str:
    if given.failures:
        return f"{given.failures} of {given.runs} runs failed: the fault is there"
    if shown:
        return f"{given.runs} clean runs: fewer than {100 * upper:.3g} % fail, {given.confidence:g} % sure"
    return f"{given.runs} clean runs still allow {100 * upper:.3g} % failing: make more"


def _upper_share(runs: int, failures: int, doubt: float) -> float:
    """The share p at which so few failures, or fewer, have the probability `doubt`: found by halving."""
    if failures == runs:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if _at_most(runs, failures, middle) > doubt:
            low = middle
        else:
            high = middle
    return high


def _at_most(runs: int, failures: int, share: float) -> float:
    """Probability of no more than `failures` in `runs`; 0 < share < 1."""
    hit, miss = math.log(share), math.log1p(-share)
    ways = math.lgamma(runs + 1)
    return math.fsum(
        math.exp(ways - math.lgamma(k + 1) - math.lgamma(runs - k + 1) + k * hit + (runs - k) * miss)
        for k in range(failures + 1)
    )
