"""A fault that shows now and then: how many clean runs before anyone may say that it is gone."""

from __future__ import annotations

import math
from decimal import Decimal, localcontext

from pydantic import BaseModel, ConfigDict

from traveller.judgement import Figure, Finding, Verdict, measured

DIGITS = 60
SOURCE = (
    "success-run rule without failures, classical form: n clean runs show R at confidence C when R^n ≤ 1 − C"
)
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
