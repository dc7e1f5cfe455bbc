"""The current-over-voltage trace of a suspect against a good sibling."""

from __future__ import annotations

import itertools
import math
from bisect import bisect_left
from collections.abc import Sequence
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import COMMON_PRACTICE, Figure, Finding, Verdict, curve, measured
from traveller.quantities import show

CAUTION = (
    "Both boards without power and discharged: measure that they are dead. Same range, same frequency, same two "
    "points. Two that failed alike trace alike."
)
NO_CURRENT = "largest current of the reference = 0 A: the distance in percent of it is undefined"
Value = Annotated[float, Field(ge=-1e9, le=1e9)]
Curve = tuple[tuple[Value, Value], ...]


class Signature(BaseModel):
    """The two traces, and how far they may lie apart."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    reference: Curve = curve("trace of the good sibling", "V", "A")
    suspect: Curve = curve("trace of the suspect, at the same two points", "V", "A")
    limit_percent: float | None = measured(
        "%", "how far good siblings lie apart, learned by comparing them", default=None, above=0, at_most=1000
    )


def signature(given: Signature) -> Finding:
    """Largest departure of the suspect's current from the reference's, at the volts of the reference.

    Values: distance (% of the largest current of the reference), worst_voltage (V). Between its points the
    suspect is a straight line; several currents at the same volts count as their mean. Exactly the limit passes.
    Undecided without a limit, without current in the reference, or when the suspect was not traced over all the
    volts of the reference and is alike where it was. Raises InputError for a trace whose volts turn back or two
    traces that share no volts.

    Source: common practice: the trace of a good sibling is the measure, the limit is learned from good siblings.
    """
    reference, suspect = _in_order(given.reference, "reference"), _in_order(given.suspect, "suspect")
    low, high = suspect[0][0], suspect[-1][0]
    shared = [point for point in reference if low <= point[0] <= high]
    if not shared:
        raise InputError(
            f"The suspect was traced from {show(low, 'V')} to {show(high, 'V')}, where the reference has no point: "
            "trace both in the same range."
        )
    largest = max(abs(amps) for _volts, amps in reference)
    currents = _at(suspect, [volts for volts, _amps in shared])
    gaps = [abs(now - amps) for now, (_volts, amps) in zip(currents, shared, strict=True)]
    worst = max(range(len(gaps)), key=gaps.__getitem__)
    percent = 100 * gaps[worst] / largest if largest else math.nan
    if not math.isfinite(percent):
        return _finding(
            given, Verdict.UNDECIDED, "the reference carries no current, so a percentage says nothing", (), NO_CURRENT
        )
    covered = len(shared) == len(reference)
    verdict, says = _outcome(given, percent, shared[worst][0], covered)
    return _finding(
        given,
        verdict,
        says,
        (
            Figure(name="distance", value=percent, unit="%"),
            Figure(name="worst_voltage", value=shared[worst][0], unit="V"),
        ),
        f"compared at {len(shared)} of {len(reference)} points of the reference,"
        f" {show(shared[0][0], 'V')} to {show(shared[-1][0], 'V')}, the suspect in straight lines between its points",
        f"largest departure at {show(shared[worst][0], 'V')}: |{show(currents[worst], 'A')} −"
        f" {show(shared[worst][1], 'A')}| / {show(largest, 'A')} = {percent:.3g} % of the largest current",
    )


def _outcome(given: Signature, percent: float, volts: float, covered: bool) -> tuple[Verdict, str]:
    where = f"{percent:.3g} % apart at {show(volts, 'V')}"
    limit = given.limit_percent
    if limit is None:
        return Verdict.UNDECIDED, f"{where}; without a limit learned from good siblings nobody can say if that is much"
    if percent > limit and not math.isclose(percent, limit, rel_tol=1e-9):
        return Verdict.FAIL, f"{where}: differs from the good sibling"
    if not covered:
        return Verdict.UNDECIDED, f"{where}, but not traced over all the volts of the reference: trace it again"
    return Verdict.PASS, f"{where}: alike"


def _in_order(points: Curve, name: str) -> list[tuple[float, float]]:
    """One sweep with rising volts; of several currents at the same volts their mean."""
    rising = points if points[-1][0] >= points[0][0] else points[::-1]
    for before, after in itertools.pairwise(rising):
        if after[0] < before[0]:
            raise InputError(
                f"The volts of the {name} turn back at {show(after[0], 'V')}: export one sweep, up or down, not a loop."
            )
    sweep = []
    for volts, group in itertools.groupby(rising, key=lambda point: point[0]):
        currents = [amps for _volts, amps in group]
        sweep.append((volts, math.fsum(currents) / len(currents)))
    return sweep


def _at(sweep: Sequence[tuple[float, float]], volts: Sequence[float]) -> list[float]:
    """The currents of the sweep at volts that lie inside it."""
    known = [point[0] for point in sweep]
    currents = []
    for one in volts:
        place = bisect_left(known, one)
        (above, high) = sweep[place]
        if above == one:
            currents.append(high)
            continue
        below, low = sweep[place - 1]
        share = (one - below) / (above - below)
        currents.append(low * (1 - share) + high * share)
    return currents


def _finding(given: Signature, verdict: Verdict, says: str, values: tuple[Figure, ...] = (), *working: str) -> Finding:
    return Finding(
        verdict=verdict,
        says=says,
        values=values,
        limit="none given" if given.limit_percent is None else f"at most {given.limit_percent:g} % apart, edge passes",
        working=working,
        source=f"{COMMON_PRACTICE}: a good sibling is the measure, the limit is learned from good siblings",
        caution=CAUTION,
    )
