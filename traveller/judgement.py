"""What a judge returns, and the judging of a plain reading against its limits.

A **judge** is a function of a station's folder that takes one pydantic model and returns a `Finding`. The
fields of its model are made with `measured` (a quantity in a stated unit), `curve` (points from a file) or
plain pydantic fields; a form and a command are made from them without further code. Its docstring ends with a
sentence ``Source: ...``, which the list of calculations shows.

Decision rules are those of ILAC-G8:09/2019 4.2: *simple acceptance* (guard band w = 0), *guarded* (w = U, k = 2:
false acceptance below 2.5 %) and *guarded 1.64u* (w = 1.64 u: about 5 %, Eurachem/CITAC 2021; from memory: check
before relying on it). Inside the guard band on either side of a limit the verdict is undecided. A value exactly on
the limit passes under simple acceptance; on the edge of the guard band it is undecided.
"""

from __future__ import annotations

import math
import statistics
from collections.abc import Callable, Iterable, Sequence
from enum import StrEnum
from typing import Any

from pydantic import BaseModel, ConfigDict, Field

from traveller.quantities import Quantity, show, show_quantity

FROM_MEMORY = "from memory: check before relying on it"
COMMON_PRACTICE = "common practice"


class Verdict(StrEnum):
    PASS = "pass"
    FAIL = "fail"
    UNDECIDED = "undecided"
    NOT_APPLICABLE = "not applicable"

    @property
    def sign(self) -> str:
        return {"pass": "✓", "fail": "✗", "undecided": "?", "not applicable": "–"}[self.value]


class DecisionRule(StrEnum):
    """How the expanded uncertainty U (k = 2) of a reading counts."""

    SIMPLE = "simple"
    GUARDED = "guarded"
    GUARDED_AT_FIVE_PERCENT = "guarded 1.64u"

    def guard(self, expanded: float) -> float:
        """The guard band w for U = `expanded`, in its unit."""
        return {"simple": 0.0, "guarded": expanded}.get(self.value, 1.64 * expanded / 2)

    def in_words(self, band: str) -> str:
        if self is DecisionRule.SIMPLE:
            return "simple acceptance, w = 0"
        return f"guard band w = {'U' if self is DecisionRule.GUARDED else '1.64 u'} = {band}"


class Figure(BaseModel):
    """One named value of a finding, in the plain SI unit (no prefix)."""

    model_config = ConfigDict(frozen=True, extra="forbid", ser_json_inf_nan="strings")

    name: str
    value: float | str
    unit: str = ""


class Finding(BaseModel):
    """A verdict with everything a person needs to agree or to disagree with it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    verdict: Verdict
    says: str
    values: tuple[Figure, ...] = ()
    limit: str = ""
    working: tuple[str, ...] = ()
    source: str = ""
    caution: str = ""


Judge = Callable[[Any], Finding]


def measured(
    unit: str,
    description: str,
    *,
    default: Any = ...,
    at_least: float | None = None,
    above: float | None = None,
    at_most: float | None = None,
) -> Any:
    """A field of a judge's model: a number in `unit` (no prefix), with what is physically possible."""
    return Field(default, description=description, ge=at_least, gt=above, le=at_most, json_schema_extra={"unit": unit})


def curve(description: str, x_unit: str, y_unit: str, *, default: Any = ...) -> Any:
    """A field of a judge's model: the points of a curve, ``tuple[tuple[float, float], ...]``, x in `x_unit`.

    Whoever asks for it takes a file (`traveller.curves`) or points as text (`traveller.record.forms`).
    """
    return Field(default, description=description, min_length=2, json_schema_extra={"curve": [x_unit, y_unit]})


class Band(BaseModel):
    """Where a reading has to lie: a closed interval in `unit`, either end open when None."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    unit: str
    at_least: float | None = None
    at_most: float | None = None
    source: str = ""

    def in_words(self) -> str:
        low = None if self.at_least is None else show(self.at_least, self.unit)
        high = None if self.at_most is None else show(self.at_most, self.unit)
        if low and high:
            return f"{low} to {high}"
        if low:
            return f"at least {low}"
        return f"at most {high}" if high else "no limit"


def limit_in_words(band: Band, spread_percent: float | None = None) -> str:
    """The band, and how far siblings may lie apart, in percent of their median."""
    if spread_percent is None:
        return band.in_words()
    spread = f"siblings within {spread_percent:g} % of their median"
    return spread if band.at_least is None and band.at_most is None else f"{band.in_words()}; {spread}"


def _margin(reading: Quantity, band: Band) -> float:
    """Distance to the nearest limit in the band's unit: negative outside, inf without limits."""
    low = math.inf if band.at_least is None else reading.value - band.at_least
    high = math.inf if band.at_most is None else band.at_most - reading.value
    return min(low, high)


def _bounded_verdict(reading: Quantity, band: Band) -> Verdict:
    """A reading known only as above or below a value: decided when every possible value agrees."""
    value = reading.value
    if reading.bound == "below":
        if band.at_least is not None:
            return Verdict.FAIL if value <= band.at_least else Verdict.UNDECIDED
        return Verdict.PASS if band.at_most is None or value <= band.at_most else Verdict.UNDECIDED
    if band.at_most is not None:
        return Verdict.FAIL if value >= band.at_most else Verdict.UNDECIDED
    return Verdict.PASS if band.at_least is None or value >= band.at_least else Verdict.UNDECIDED


def decide(reading: Quantity, band: Band, guard: float = 0.0) -> Verdict:
    """Pass, fail or undecided for one reading; `guard` is the guard band w in the band's unit (>= 0)."""
    if reading.bound != "exact":
        return _bounded_verdict(reading, band)
    margin = _margin(reading, band)
    if margin >= 0 if guard == 0 else margin > guard:
        return Verdict.PASS
    return Verdict.FAIL if margin < -guard else Verdict.UNDECIDED


def judge_reading(
    reading: Quantity,
    band: Band,
    *,
    uncertainty: float = 0.0,
    rule: DecisionRule = DecisionRule.SIMPLE,
    caution: str = "",
) -> Finding:
    """Judge one reading; `uncertainty` is the expanded U (k = 2) in the reading's unit."""
    guard = rule.guard(uncertainty)
    verdict = decide(reading, band, guard)
    words = {
        Verdict.PASS: "is inside",
        Verdict.FAIL: "is outside",
        Verdict.UNDECIDED: "is too near the limit, for this instrument, of",
    }
    shown = show_quantity(reading)
    return Finding(
        verdict=verdict,
        says=f"{shown} {words[verdict]} {band.in_words()}",
        values=(Figure(name="reading", value=reading.value, unit=band.unit),),
        limit=band.in_words(),
        working=(
            f"reading {shown}, limit {band.in_words()}",
            f"decision rule: {rule.in_words(show(guard, band.unit))} (ILAC-G8:09/2019 4.2)",
        ),
        source=band.source,
        caution=caution,
    )


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """Fail outweighs undecided outweighs pass; nothing at all is undecided."""
    ranks = (Verdict.FAIL, Verdict.UNDECIDED, Verdict.PASS, Verdict.NOT_APPLICABLE)
    present = set(verdicts)
    return next((verdict for verdict in ranks if verdict in present), Verdict.UNDECIDED)


def judge_siblings(
    columns: Sequence[str],
    readings: Sequence[Quantity],
    band: Band,
    *,
    spread_percent: float | None = None,
    uncertainty: Sequence[float] = (),
    rule: DecisionRule = DecisionRule.SIMPLE,
    caution: str = "",
) -> Finding:
    """Judge the readings of siblings side by side: each against the band, all against their median.

    The departure is 100 |x - median| / |median|; with three siblings no statistic says more than a stated
    tolerance against the median does, so the tolerance is the rule.
    """
    guards = [rule.guard(u) for u in uncertainty] or [0.0] * len(readings)
    verdicts = [decide(one, band, guard) for one, guard in zip(readings, guards, strict=True)]
    outside = [name for name, verdict in zip(columns, verdicts, strict=True) if verdict is Verdict.FAIL]
    near = [name for name, verdict in zip(columns, verdicts, strict=True) if verdict is Verdict.UNDECIDED]
    working = [f"{name}: {show_quantity(one)}" for name, one in zip(columns, readings, strict=True)]
    says = [f"outside {band.in_words()}: {', '.join(outside)}"] if outside else []
    says += [f"too near a limit to decide: {', '.join(near)}"] if near else []
    if spread_percent is not None:
        verdict, words, lines = _spread(columns, readings, spread_percent)
        verdicts.append(verdict)
        working += lines
        says += [words] if verdict is not Verdict.PASS else []
    limit = limit_in_words(band, spread_percent)
    return Finding(
        verdict=worst(verdicts),
        says="; ".join(says) or f"all inside {limit}",
        values=tuple(
            Figure(name=name, value=one.value, unit=band.unit) for name, one in zip(columns, readings, strict=True)
        ),
        limit=limit,
        working=tuple(working),
        source=band.source,
        caution=caution,
    )


def _spread(columns: Sequence[str], readings: Sequence[Quantity], allowed: float) -> tuple[Verdict, str, list[str]]:
    over = [reading.bound != "exact" for reading in readings]
    if all(over):
        alike = len({reading.bound == "below" for reading in readings}) == 1
        if alike:
            return Verdict.PASS, "", ["all siblings read alike (beyond the range)"]
        return Verdict.UNDECIDED, "some read above and some below a value: compare by eye", []
    if any(over):
        odd = ", ".join(name for name, is_over in zip(columns, over, strict=True) if is_over)
        return Verdict.FAIL, f"odd one out: {odd}", [f"{odd} reads over or under range, its siblings do not"]
    values = [reading.value for reading in readings]
    median = statistics.median(values)
    unit = readings[0].unit
    if median == 0:
        alike = all(value == 0 for value in values)
        return (
            Verdict.PASS if alike else Verdict.UNDECIDED,
            "the median is zero: compare by eye",
            ["median = 0: a departure in percent is undefined"],
        )
    departures = [100 * abs(value - median) / abs(median) for value in values]
    far = max(range(len(values)), key=departures.__getitem__)
    there, middle = show(values[far], unit), show(median, unit)
    line = (
        f"largest departure from the median {middle}: {columns[far]} "
        f"100 × |{there} − {middle}| / {show(abs(median), unit)} = {departures[far]:.3g} %"
        f" (allowed {allowed:g} %)"
    )
    if departures[far] <= allowed:
        return Verdict.PASS, "", [line]
    return (
        Verdict.FAIL,
        f"odd one out: {columns[far]} departs {departures[far]:.3g} % from its siblings",
        [line],
    )
