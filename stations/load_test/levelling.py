"""Where a levelling curve ends: θ(t) = θu − D · e^(−t/τ), from three equal steps or by least squares."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

EQUAL_WITHIN = 1e-6
GRID = 80
REFINEMENTS = 60
GOLDEN = (math.sqrt(5) - 1) / 2


@dataclass(frozen=True)
class End:
    """The end of the rise and what is left of it at the last reading (K), the time constant (unit of the times).

    `uncertainty` is U (k = 2) of the rise as the scatter of the readings shows it (K); None for three readings.
    """

    rise: float
    left: float
    time_constant: float
    how: str
    uncertainty: float | None = None


def end_of(times: Sequence[float], rises: Sequence[float]) -> End | None:
    """The end of the curve, or None if it falls, runs straight or bends upwards. Three readings or more."""
    if rises[-1] <= rises[0]:
        return None
    if len(times) == 3:
        first, second = times[1] - times[0], times[2] - times[1]
        if abs(first - second) <= EQUAL_WITHIN * second:
            return _three_equal_steps(second, *rises)
    return _least_squares(times, rises)


def _three_equal_steps(step: float, one: float, two: float, three: float) -> End | None:
    sooner, later = two - one, three - two
    if later <= 0 or sooner <= later * (1 + EQUAL_WITHIN):
        return None
    # The same as (θ2² − θ1·θ3) / (2θ2 − θ1 − θ3), but small differences keep their digits.
    left = later * later / (sooner - later)
    return End(three + left, left, step / math.log(sooner / later), "three equal steps")


def _least_squares(times: Sequence[float], rises: Sequence[float]) -> End | None:
    """For each τ the best θu and D are linear; τ is looked for on a grid, then by golden section."""
    since = [time - times[0] for time in times]
    level, span = sum(rises) / len(rises), since[-1]
    above = [rise - level for rise in rises]

    def misfit(place: float) -> float:
        return _fit(math.exp(place), since, above)[0]

    low, high = math.log(span / 50), math.log(span * 20)
    grid = [low + (high - low) * i / (GRID - 1) for i in range(GRID)]
    best = min(range(GRID), key=lambda i: misfit(grid[i]))
    if best in (0, GRID - 1):
        return None
    tau = math.exp(_lowest(misfit, grid[best - 1], grid[best + 1]))
    squares, offset, drop = _fit(tau, since, above)
    end = level + offset
    if drop <= 0 or end <= rises[0]:
        return None
    return End(end, drop * math.exp(-span / tau), tau, "least squares", _uncertainty(squares, tau, drop, since))


def _lowest(misfit: Callable[[float], float], left: float, right: float) -> float:
    """Where a curve with one valley is lowest, by golden section: one look a step, the other one is kept."""
    inner, outer = right - GOLDEN * (right - left), left + GOLDEN * (right - left)
    at_inner, at_outer = misfit(inner), misfit(outer)
    for _ in range(REFINEMENTS):
        if at_inner <= at_outer:
            right, outer, at_outer = outer, inner, at_inner
            inner = right - GOLDEN * (right - left)
            at_inner = misfit(inner)
        else:
            left, inner, at_inner = inner, outer, at_outer
            outer = left + GOLDEN * (right - left)
            at_outer = misfit(outer)
    return (left + right) / 2


def _uncertainty(squares: float, tau: float, drop: float, since: Sequence[float]) -> float | None:
    """U (k = 2) of the end: s² · (JᵀJ)⁻¹ of the least squares, J the slopes by θu, D and τ. None without scatter
    to tell it by."""
    count = len(since)
    if count < 4:
        return None
    decays = [math.exp(-time / tau) for time in since]
    bends = [drop * time / tau**2 * decay for time, decay in zip(since, decays, strict=True)]
    a, b = math.fsum(decays), math.fsum(bends)
    aa = math.fsum(d * d for d in decays)
    bb = math.fsum(k * k for k in bends)
    ab = math.fsum(d * k for d, k in zip(decays, bends, strict=True))
    minor = aa * bb - ab * ab
    whole = count * minor - a * (a * bb - ab * b) + b * (a * ab - aa * b)
    if minor <= 0 or whole <= 0:
        return None
    return 2 * math.sqrt(max(squares, 0.0) / (count - 3) * minor / whole)


def _fit(tau: float, since: Sequence[float], above: Sequence[float]) -> tuple[float, float, float]:
    """Sum of squares, θu and D of the straight line of θ over e^(−t/τ); θ and θu from the mean of all θ."""
    decays = [math.exp(-time / tau) for time in since]
    middle = sum(decays) / len(decays)
    apart = [decay - middle for decay in decays]
    slope = sum([a * d for a, d in zip(above, apart, strict=True)]) / sum([d * d for d in apart])
    squares = sum([(a - slope * d) ** 2 for a, d in zip(above, apart, strict=True)])
    return squares, -slope * middle, -slope
