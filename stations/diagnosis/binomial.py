"""Exact bounds of a binomial share, after Clopper and Pearson.

The probability of no more than k failures in n runs is the regularised incomplete beta function
I(1 − p; n − k, k + 1), here by its continued fraction (NIST Digital Library of Mathematical Functions 8.17.22).
"""

from __future__ import annotations

import math

HALVINGS = 60
TERMS = 5_000
TINY = 1e-300
ENOUGH = 1e-15


def upper_share(runs: int, failures: int, doubt: float) -> float:
    """The share p at which so few failures, or fewer, have the probability `doubt`: found by halving."""
    if failures == runs:
        return 1.0
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        if at_most(runs, failures, middle) > doubt:
            low = middle
        else:
            high = middle
    return high


def lower_share(runs: int, failures: int, doubt: float) -> float:
    """The share p at which so many failures, or more, have the probability `doubt`."""
    return 0.0 if failures == 0 else 1 - upper_share(runs, runs - failures, doubt)


def at_most(runs: int, failures: int, share: float) -> float:
    """Probability of no more than `failures` (fewer than `runs`) in `runs`; 0 < share < 1."""
    return _incomplete_beta(1 - share, share, runs - failures, failures + 1)


def _incomplete_beta(x: float, rest: float, a: int, b: int) -> float:
    """I(x; a, b) with `rest` = 1 − x, from the side on which the fraction is quick."""
    if x <= 0 or rest <= 0:
        return 1.0 if rest <= 0 else 0.0
    front = math.exp(math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log(rest))
    if x < (a + 1) / (a + b + 2):
        return front * _fraction(x, a, b) / a
    return 1 - front * _fraction(rest, b, a) / b


def _fraction(x: float, a: int, b: int) -> float:
    """The continued fraction, worked from the front (modified Lentz)."""
    c, d = 1.0, 1 / _off_zero(1 - (a + b) * x / (a + 1))
    value = d
    for m in range(1, TERMS):
        for numerator in (
            m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m)),
            -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1)),
        ):
            d = 1 / _off_zero(1 + numerator * d)
            c = _off_zero(1 + numerator / c)
            value *= c * d
        if abs(c * d - 1) < ENOUGH:
            break
    return value


def _off_zero(value: float) -> float:
    return value if abs(value) > TINY else TINY
