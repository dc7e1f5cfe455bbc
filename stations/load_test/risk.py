"""How many units are wrongly accepted or refused, when it is known how they scatter.

The true value of a unit scatters by `density`; what is read scatters about it by u, normally. Accepted is what is
read between the decision limits. Wrongly accepted: true value outside the limits, wrongly refused: inside.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from statistics import NormalDist
from typing import NamedTuple

PIECES = 400
WIDE = 9.0
PHI = NormalDist().cdf


class Between(NamedTuple):
    """Limits; an open end is infinite."""

    low: float
    high: float


class Shares(NamedTuple):
    """Shares of all units, 0 to 1."""

    wrongly_accepted: float
    wrongly_refused: float


def wrongly_judged(
    density: Callable[[float], float], support: Between, limits: Between, decision: Between, u: float
) -> Shares:
    """Both shares, by Simpson's rule over the part of `support` (where `density` is worth anything) on each side."""

    def accepted(true: float) -> float:
        """Probability that a unit of this true value is accepted."""
        return max(0.0, PHI((decision.high - true) / u) - PHI((decision.low - true) / u))

    low, high = (min(max(edge, support.low), support.high) for edge in limits)
    outside = (Between(support.low, low), Between(high, support.high))
    return Shares(
        sum(_integral(lambda x: density(x) * accepted(x), side, decision, u) for side in outside),
        _integral(lambda x: density(x) * (1 - accepted(x)), Between(low, high), decision, u),
    )


def _integral(of: Callable[[float], float], over: Between, decision: Between, u: float) -> float:
    """Cut where the reading turns from refused to accepted, so that a small u is not stepped over."""
    near = [edge + step * u for edge in decision if math.isfinite(edge) for step in (-WIDE, 0, WIDE)]
    cuts = sorted({over.low, over.high, *(one for one in near if over.low < one < over.high)})
    return sum(_simpson(of, a, b) for a, b in pairwise(cuts))


def _simpson(of: Callable[[float], float], a: float, b: float) -> float:
    step = (b - a) / PIECES
    inner = sum((4 if i % 2 else 2) * of(a + i * step) for i in range(1, PIECES))
    return step / 3 * (of(a) + inner + of(b))


def of_a_normal_process(mean: float, deviation: float, limits: Between, decision: Between, u: float) -> Shares:
    """Both shares where the units scatter normally."""
    process = NormalDist(mean, deviation)
    support = Between(mean - WIDE * deviation, mean + WIDE * deviation)
    return wrongly_judged(process.pdf, support, limits, decision, u)
