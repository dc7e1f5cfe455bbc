"""A fault that shows now and then: what the runs say, and how many are needed before it may be called gone.

Shares and confidences are fractions: 0.01 is one run in a hundred, 0.95 is 95 % sure.
"""

from __future__ import annotations

from decimal import Decimal, localcontext
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured

from .binomial import at_most, lower_share, upper_share

DIGITS = 60
ROUNDING = 1e-12
MOST_RUNS = 100_000_000
CLASSICAL, WITH_PRIOR = "classical", "with a uniform prior"
CAUTION = (
    "The runs count only if they stress the unit as the fault did: cold, hot, shaken, under load. One "
    "failing run and the count starts again."
)


class RunsNeeded(BaseModel):
    """The share of failing runs that may remain, how sure one wants to be, and how many may fail on the way."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    worst_rate: float = measured(
        "", "largest share of runs that may still fail, e.g. 0.01", at_least=1e-6, at_most=0.999999
    )
    confidence: float = measured(
        "", "how sure you want to be, as a fraction", default=0.95, at_least=0.01, at_most=0.999999
    )
    failures_allowed: int = Field(default=0, ge=0, le=100, description="runs that may fail without starting again")
    form: Literal["classical", "with a uniform prior"] = Field(
        default="classical", description="published form of the rule; the one with a prior needs one run less"
    )


def runs_needed(given: RunsNeeded) -> Finding:
    """The fewest runs, with no more failures than allowed, that show the worst rate at the confidence.

    Values: runs. Worked in decimals by testing the probability itself, because the quotient of logarithms can land
    a hair above a whole number: without failures (1 − p)^n ≤ 1 − C. The form with a uniform prior,
    (1 − p)^(n + 1) ≤ 1 − C, is published too and needs one run less.

    Source: success-run rule, R^n ≤ 1 − C (qualitydigest.com 27832), with failures the binomial sum; with a uniform
    prior R = (1 − C)^(1/(n+1)) (codingace.net).
    """
    doubt = 1 - Decimal(str(given.confidence))
    classical = _fewest_runs(Decimal(str(given.worst_rate)), doubt, given.failures_allowed)
    runs = classical if given.form == CLASSICAL else max(classical - 1, given.failures_allowed)
    fails = f"at most {given.failures_allowed} failing" if given.failures_allowed else "none failing"
    counted = "n" if given.form == CLASSICAL else "n + 1"
    return Finding(
        verdict=Verdict.PASS,
        says=f"{runs} runs, {fails}, before it may be called gone",
        values=(Figure(name="runs", value=float(runs)),),
        limit=f"at most {given.worst_rate:g} of the runs failing, {given.confidence:g} sure",
        working=(
            f"p = {given.worst_rate:g}, 1 − C = {float(doubt):g}, form: {given.form}",
            f"fewest n for which no more than {given.failures_allowed} failures in {counted} runs have a probability"
            f" ≤ 1 − C at p: n = {runs}",
        ),
        source="success-run rule: (1 − p)^n ≤ 1 − C (qualitydigest.com 27832); with failures the binomial sum"
        if given.form == CLASSICAL
        else "success-run rule with a uniform prior: R = (1 − C)^(1/(n+1)) (codingace.net)",
        caution=CAUTION,
    )


def _fewest_runs(rate: Decimal, doubt: Decimal, failures: int) -> int:
    """By doubling, then by halving the gap: more runs always make so few failures less likely."""
    with localcontext() as context:
        context.prec = DIGITS
        enough = failures + 1
        while _at_most(enough, failures, rate) > doubt:
            enough *= 2
            if enough > MOST_RUNS:
                raise InputError("That takes more runs than anybody can make: allow a larger rate.")
        short = enough // 2 if enough > failures + 1 else failures
        while enough - short > 1:
            middle = (enough + short) // 2
            if _at_most(middle, failures, rate) > doubt:
                short = middle
            else:
                enough = middle
    return enough


def _at_most(runs: int, failures: int, rate: Decimal) -> Decimal:
    """Probability of no more than `failures` in `runs`; there are more runs than failures."""
    term = (1 - rate) ** runs
    total = term
    for k in range(failures):
        term *= Decimal(runs - k) / (k + 1) * rate / (1 - rate)
        total += term
    return total


class Intermittent(BaseModel):
    """The runs made, those that failed, and what clean ones are to show."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    failures: int = Field(description="runs that failed", ge=0)
    runs: int = Field(description="runs made", ge=1, le=100_000)
    confidence: float = measured(
        "", "how sure you want to be, as a fraction", default=0.95, at_least=0.5, at_most=0.99999
    )
    worst_rate: float = measured(
        "", "largest share of runs that may still fail", default=0.01, at_least=1e-6, at_most=0.999999
    )
    sides: Literal["two-sided", "one-sided"] = Field(
        default="two-sided", description="two bounds that share the doubt, or one at the whole confidence"
    )


def intermittent(given: Intermittent) -> Finding:
    """What so many failures in so many runs say about the share of runs that fail in the long run.

    Values: rate, lower, upper (fractions), p_value (how likely so many failures, or more, would be if the worst rate
    held: small means that the unit is worse than that). Any failure fails. Without failures it passes when the runs
    are as many as `runs_needed` asks for the worst rate, which is a one-sided question, and is undecided when more
    are needed. Raises InputError if more runs failed than were made.

    Source: exact bounds of a binomial share after Clopper and Pearson (1934).
    """
    if given.failures > given.runs:
        raise InputError(f"{given.failures} of {given.runs} runs cannot have failed: correct one of the two.")
    alpha = 1 - given.confidence
    doubt = alpha / 2 if given.sides == "two-sided" else alpha
    rate = given.failures / given.runs
    lower = min(lower_share(given.runs, given.failures, doubt), rate)
    upper = max(upper_share(given.runs, given.failures, doubt), rate)
    still = upper_share(given.runs, given.failures, alpha)
    shown = still <= given.worst_rate + ROUNDING
    chance = _so_many_or_more(given)
    return Finding(
        verdict=Verdict.FAIL if given.failures else Verdict.PASS if shown else Verdict.UNDECIDED,
        says=_says(given, shown, still),
        values=(
            Figure(name="rate", value=rate),
            Figure(name="lower", value=lower),
            Figure(name="upper", value=upper),
            Figure(name="p_value", value=chance),
        ),
        limit=f"no failure, and at most {given.worst_rate:g} of the runs failing, {given.confidence:g} sure",
        working=(
            f"rate = {given.failures} / {given.runs} = {rate:.4g}",
            f"exact bounds, {given.sides}, {given.confidence:g}: between {lower:.4g} and {upper:.4g} of the runs fail"
            " in the long run",
            f"one-sided at {given.confidence:g}, as the limit asks: at most {still:.4g}",
            f"if {given.worst_rate:g} of the runs failed, {given.failures} or more of {given.runs} would have the"
            f" probability p = {chance:.4g}",
        ),
        source="exact bounds of a binomial share after Clopper and Pearson (1934)",
        caution=CAUTION,
    )


def _so_many_or_more(given: Intermittent) -> float:
    """One-sided p-value of the failures against the worst rate."""
    if given.failures == 0:
        return 1.0
    return min(1.0, max(0.0, 1 - at_most(given.runs, given.failures - 1, given.worst_rate)))


def _says(given: Intermittent, shown: bool, upper: float) -> str:
    if given.failures:
        return f"{given.failures} of {given.runs} runs failed: the fault is there"
    if shown:
        return f"{given.runs} clean runs: fewer than {100 * upper:.3g} % fail, {100 * given.confidence:g} % sure"
    return f"{given.runs} clean runs still allow {100 * upper:.3g} % failing: make more"
