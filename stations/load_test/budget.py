"""The uncertainty of a reading from its parts, and the limits that it leaves for a decision."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from statistics import NormalDist
from typing import Literal, NamedTuple, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from traveller.errors import InputError
from traveller.judgement import Band, Figure, Finding, Verdict, decide, measured
from traveller.quantities import Quantity

from .risk import Between, of_a_normal_process
from .uncertainty import combined, coverage_factor, read_parts, rounded

CAUTION = "A budget speaks for the instrument as it was used here: another range, probe or temperature has another."
PHI = NormalDist().cdf
LARGEST = 1e12


class Managed(BaseModel):
    """Method with a managed share of 2 %: loss = start − e^(slope · ln TUR + shift)."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    start: float
    slope: float
    shift: float

    def loss(self, tur: float) -> float:
        return self.start - math.exp(self.slope * math.log(tur) + self.shift)


class Guard(BaseModel):
    """A guard band: so many times the expanded U or the combined u, or the share of the limits that is kept.

    The share is keep − less_per_tur / TUR, where it is `squared` √(keep − less_per_tur / TUR²), or `managed`.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    times: float = 0.0
    of: Literal["U", "u", "half the limits"]
    source: str
    keep: float = 0.0
    less_per_tur: float = 0.0
    squared: bool = False
    managed: Managed | None = None

    def kept(self, tur: float) -> float:
        """The share of the limits that is left to decide by, at a test uncertainty ratio; 0 when nothing is."""
        if self.managed is not None:
            return max(0.0, 1 - self.managed.loss(tur) / tur)
        if self.squared:
            return math.sqrt(max(0.0, self.keep - self.less_per_tur / tur**2))
        return max(0.0, self.keep - self.less_per_tur / tur)


class Rules(BaseModel):
    """What ``budget.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    coverage: float
    source: str
    risk_source: str
    guard: tuple[Guard, ...]


@cache
def rules() -> Rules:
    """The usual coverage factor and the guard bands."""
    return Rules.model_validate(tomllib.loads(Path(__file__).with_name("budget.toml").read_text(encoding="utf-8")))


class InstrumentBudget(BaseModel):
    """The parts of the uncertainty, all in the unit of the reading, and the limits of the reading."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    parts: str = Field(
        min_length=3,
        max_length=4000,
        description=(
            "value:kind each: 0.0021/5:repeat (s of n readings) 0.006:rectangular (± spec) 0.001:resolution "
            "0.02/2:certificate (U/k) 0.003@18:normal (18 degrees of freedom); also triangular, arcsine"
        ),
    )
    reading: float | None = measured("", "what was read", default=None, at_least=-LARGEST, at_most=LARGEST)
    at_least: float | None = measured("", "lower limit", default=None, at_least=-LARGEST, at_most=LARGEST)
    at_most: float | None = measured("", "upper limit", default=None, at_least=-LARGEST, at_most=LARGEST)
    guard: Literal[
        "none",
        "U",
        "0.83 U",
        "1.5 U",
        "3 U",
        "1.64 u",
        "root of 1 − 1/TUR²",
        "1 − 1/TUR",
        "1.25 − 1/TUR",
        "managed 2 %",
    ] = Field(default="U", description="how far the limits are drawn in")
    process_sd: float | None = measured(
        "",
        "how far units scatter, standard deviation, where it is known",
        default=None,
        at_least=1e-12,
        at_most=LARGEST,
    )
    process_mean: float | None = measured(
        "", "mean of the units; left out: the middle of the limits", default=None, at_least=-LARGEST, at_most=LARGEST
    )
    k: float = measured("", "coverage factor", default=rules().coverage, at_least=1, at_most=10)
    confidence: float | None = measured(
        "", "in place of k: share covered, 0.95, by Student's t", default=None, at_least=0.5, at_most=0.9999
    )

    @model_validator(mode="after")
    def _limits_in_order(self) -> Self:
        if self.at_least is not None and self.at_most is not None and self.at_least >= self.at_most:
            raise ValueError("the lower limit must lie below the upper one")
        return self

    @property
    def bounded(self) -> bool:
        return self.at_least is not None or self.at_most is not None


class Uncertainty(NamedTuple):
    """Combined u, expanded U, and the guard band w."""

    u: float
    expanded: float
    w: float


def instrument_budget(given: InstrumentBudget) -> Finding:
    """Combined and expanded uncertainty of an instrument from its parts, and the decision limits it leaves.

    Values: combined, expanded, coverage_factor, degrees_of_freedom; with limits decision_at_least and
    decision_at_most, tur (test uncertainty ratio, two limits), false_accept (share wrongly accepted on the
    decision limit); with a reading too conformance (probability); with process_sd wrongly_accepted and
    wrongly_refused (shares of all units that scatter so). Pass inside the decision limits, fail beyond
    a limit by the guard band, undecided between and on the edge; fail if nothing is left between the decision
    limits. Raises InputError for parts that cannot be read, and for a guard by TUR or a scatter of units without the
    limits that they need. Source: GUM (JCGM 100), JCGM 106, ILAC-G8:09/2019.
    """
    parts = read_parts(given.parts, rules().coverage)
    total, freedom = combined(parts)
    k = given.k if given.confidence is None else coverage_factor(given.confidence, freedom)
    guard = next(one for one in rules().guard if one.name == given.guard)
    known = Uncertainty(total, k * total, _guard_band(given, guard, total, k * total))
    decision = _decision_limits(given, known)
    process = _process(given, known)
    verdict, says = _verdict(given, known, decision)
    return Finding(
        verdict=verdict,
        says=says,
        values=(
            Figure(name="combined", value=total),
            Figure(name="expanded", value=known.expanded),
            Figure(name="coverage_factor", value=k),
            *(() if freedom == float("inf") else (Figure(name="degrees_of_freedom", value=freedom),)),
            *decision,
            *_risks(given, known),
            *process,
        ),
        limit=_limit(given),
        working=(
            *(f"{part.typed}: {part.formula} = {part.standard:.4g}" for part in parts),
            f"u = √Σu² = {total:.5g}, degrees of freedom {freedom:.4g}; U = {k:.4g} × u = {known.expanded:.4g}",
            *(f"{one.name.replace('_', ' ')} = {one.value:.6g}, w = {known.w:.4g} ({guard.name})" for one in decision),
            *(f"share of all units {one.name.replace('_', ' ')}: {float(one.value):.4g}" for one in process),
            "on the edge of the guard band: undecided",
        ),
        source="; ".join((rules().source, guard.source, rules().risk_source)),
        caution=CAUTION,
    )


def _guard_band(given: InstrumentBudget, guard: Guard, u: float, expanded: float) -> float:
    if guard.of != "half the limits":
        return guard.times * (expanded if guard.of == "U" else u)
    if given.at_least is None or given.at_most is None:
        raise InputError(f"The guard band “{guard.name}” follows from two limits: give both, or choose another one.")
    half = (given.at_most - given.at_least) / 2
    return half * (1 - min(1.0, guard.kept(half / expanded)))


def _process(given: InstrumentBudget, known: Uncertainty) -> tuple[Figure, ...]:
    """Shares of all units that are wrongly judged, where it is known how they scatter."""
    if given.process_sd is None:
        return ()
    low = -math.inf if given.at_least is None else given.at_least
    high = math.inf if given.at_most is None else given.at_most
    mean = given.process_mean if given.process_mean is not None else (low + high) / 2
    if not math.isfinite(mean):
        raise InputError("How many are wrongly judged follows from the limits and the mean of the units: give both.")
    decision = Between(low + known.w, high - known.w)
    shares = of_a_normal_process(mean, given.process_sd, Between(low, high), decision, known.u)
    return (
        Figure(name="wrongly_accepted", value=shares.wrongly_accepted),
        Figure(name="wrongly_refused", value=shares.wrongly_refused),
    )


def _decision_limits(given: InstrumentBudget, known: Uncertainty) -> tuple[Figure, ...]:
    low = () if given.at_least is None else (Figure(name="decision_at_least", value=given.at_least + known.w),)
    high = () if given.at_most is None else (Figure(name="decision_at_most", value=given.at_most - known.w),)
    return (*low, *high)


def _risks(given: InstrumentBudget, known: Uncertainty) -> tuple[Figure, ...]:
    """How good the instrument is for these limits, and how likely the reading conforms."""
    if not given.bounded:
        return ()
    found = [Figure(name="false_accept", value=PHI(-known.w / known.u))]
    low, high = given.at_least, given.at_most
    if low is not None and high is not None:
        found.append(Figure(name="tur", value=(high - low) / (2 * known.expanded)))
    if given.reading is not None:
        below = 1.0 if high is None else PHI((high - given.reading) / known.u)
        under = 0.0 if low is None else PHI((low - given.reading) / known.u)
        found.append(Figure(name="conformance", value=max(0.0, below - under)))
    return tuple(found)


def _verdict(given: InstrumentBudget, known: Uncertainty, decision: tuple[Figure, ...]) -> tuple[Verdict, str]:
    size = rounded(0, known.expanded)[1]
    if len(decision) == 2 and float(decision[0].value) > float(decision[1].value):
        return Verdict.FAIL, f"± {size} is too coarse for these limits: nothing between them would pass"
    if given.reading is None:
        return Verdict.PASS, f"± {size}"
    shown = " ± ".join(rounded(given.reading, known.expanded))
    if not given.bounded:
        return Verdict.PASS, shown
    band = Band(unit="", at_least=given.at_least, at_most=given.at_most)
    reading = Quantity(value=given.reading, unit="", bound="exact", typed=f"{given.reading!r}")
    verdict = decide(reading, band, known.w)
    words = {
        Verdict.PASS: "is inside the decision limits",
        Verdict.FAIL: "is outside the limits",
        Verdict.UNDECIDED: "is too near a limit for this instrument",
    }
    return verdict, f"{shown} {words[verdict]}"


def _limit(given: InstrumentBudget) -> str:
    low = [] if given.at_least is None else [f"at least {given.at_least:g}"]
    high = [] if given.at_most is None else [f"at most {given.at_most:g}"]
    return ", ".join(low + high) or "none given"
