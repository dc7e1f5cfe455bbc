"""The parts of an uncertainty as they are typed, what they come to together, and Student's t."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from decimal import ROUND_HALF_EVEN, Context, Decimal
from statistics import NormalDist
from typing import NamedTuple

from traveller.errors import InputError
from traveller.quantities import read_quantity

SEPARATORS = re.compile(r"[\s;]+|(?<=[A-Za-z]),")
PART = re.compile(r"(?P<value>[^/:@]+)(?:/(?P<by>[^/:@]+))?(?:@(?P<freedom>[^/:@]+))?:(?P<kind>[A-Za-z]+)")
HOW = 'write each as value:kind, e.g. "0.0021/5:repeat 0.006:rectangular 0.001:resolution"'
MOST, LARGEST, MANY = 50, 1e12, 2000
STEPS = 200
NEARLY = 1e-9

# A standard uncertainty from the typed value and the number behind its slash.
KINDS: Mapping[str, tuple[Callable[[float, float], float], str]] = {
    "repeat": (lambda value, count: value / math.sqrt(count), "s / √n"),
    "rectangular": (lambda value, _by: value / math.sqrt(3), "a / √3"),
    "triangular": (lambda value, _by: value / math.sqrt(6), "a / √6"),
    "arcsine": (lambda value, _by: value / math.sqrt(2), "a / √2"),
    "resolution": (lambda value, _by: value / 2 / math.sqrt(3), "(step / 2) / √3"),
    "normal": (lambda value, _by: value, "as it is"),
    "certificate": (lambda value, cover: value / cover, "U / k"),
}


class Part(NamedTuple):
    """One part: as typed, its formula, its standard uncertainty and its degrees of freedom (inf: known)."""

    typed: str
    formula: str
    standard: float
    freedom: float


def read_parts(text: str, coverage: float) -> tuple[Part, ...]:
    """The parts that were typed; a certificate without its k has `coverage`. InputError says how to write them."""
    pieces = [piece for piece in SEPARATORS.split(text.strip()) if piece]
    if not 1 <= len(pieces) <= MOST:
        raise InputError(f"{len(pieces)} parts were read, 1 to {MOST} are wanted: {HOW}.")
    return tuple(_part(piece, coverage) for piece in pieces)


def _part(piece: str, coverage: float) -> Part:
    found = PART.fullmatch(piece)
    if found is None:
        raise InputError(f'"{piece[:40]}" is not value:kind: {HOW}.')
    fits = [kind for kind in KINDS if kind.startswith(found["kind"].casefold())]
    if len(fits) != 1:
        raise InputError(f'"{found["kind"]}" is none of the kinds {", ".join(KINDS)}: {HOW}.')
    kind = fits[0]
    value = _number(found["value"], 0, LARGEST, piece)
    if (kind == "repeat") if found["by"] is None else (kind not in ("repeat", "certificate")):
        raise InputError(
            f'"{piece[:40]}": behind the slash stands the number of readings of a repeat (0.0021/5:repeat), or the k '
            "of a certificate (0.02/2:certificate), and nothing else has one."
        )
    by = coverage
    if found["by"] is not None:
        by = _number(found["by"], 2 if kind == "repeat" else 1, 1e6, piece)
        if kind == "repeat" and by != int(by):
            raise InputError(f'"{piece[:40]}": {by:g} is not a number of readings.')
    freedom = by - 1 if kind == "repeat" else math.inf
    if found["freedom"] is not None:
        freedom = _number(found["freedom"], 1, 1e9, piece)
    work, formula = KINDS[kind]
    return Part(piece, formula, work(value, by), freedom)


def _number(text: str, least: float, most: float, piece: str) -> float:
    value = read_quantity(text, "").value
    if not least <= value <= most:
        raise InputError(f'"{piece[:40]}": {value:g} cannot be, it lies between {least:g} and {most:g}: {HOW}.')
    return value


def combined(parts: Sequence[Part]) -> tuple[float, float]:
    """Root of the sum of squares, and the effective degrees of freedom (Welch-Satterthwaite)."""
    total = math.hypot(*(part.standard for part in parts))
    if total == 0:
        raise InputError(f"All parts are zero, and no instrument is that good: {HOW}.")
    spent = sum((part.standard / total) ** 4 / part.freedom for part in parts)
    return total, 1 / spent if spent > 0 else math.inf


def coverage_factor(confidence: float, freedom: float) -> float:
    """Two-sided Student's t for a share of `confidence`; the degrees of freedom are rounded down first."""
    whole = max(1, math.floor(min(freedom, 1e9) + NEARLY))
    if whole > MANY:
        return NormalDist().inv_cdf(0.5 + confidence / 2)
    low, high = 0.0, math.pi / 2
    for _ in range(STEPS):
        middle = (low + high) / 2
        low, high = (middle, high) if _share_within(middle, whole) < confidence else (low, middle)
    return math.tan(low) * math.sqrt(whole)


def _share_within(angle: float, freedom: int) -> float:
    """P(|t| < √ν · tan θ), the closed form for whole degrees of freedom (Abramowitz and Stegun 26.7.3, 26.7.4)."""
    sine, cosine = math.sin(angle), math.cos(angle)
    odd = freedom % 2 == 1
    term = cosine if odd else 1.0
    total = term if freedom > 1 else 0.0
    for step in range(3 if odd else 2, freedom - 1, 2):
        term *= cosine * cosine * (step - 1) / step
        total += term
    return 2 / math.pi * (angle + sine * total) if odd else sine * total


def rounded(value: float, uncertainty: float) -> tuple[str, str]:
    """Both to the place of the uncertainty's second digit, half to even (JCGM 100 7.2.6)."""
    two = Context(prec=2, rounding=ROUND_HALF_EVEN).plus(Decimal(repr(float(uncertainty))))
    if not two:
        return f"{value:g}", "0"
    step = Decimal(1).scaleb(two.adjusted() - 1)
    room = Context(prec=400, rounding=ROUND_HALF_EVEN)
    return (
        f"{Decimal(repr(float(value))).quantize(step, context=room).quantize(min(step, Decimal(1)), context=room):f}",
        f"{two.quantize(min(step, Decimal(1)), context=room):f}",
    )
