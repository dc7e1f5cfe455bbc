"""Leakage current to earth, or through whoever touches the unit, against the limit of a standard and its edition."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured
from traveller.quantities import show

from .protective_conductor import limits as conductor_limits

CAUTION = (
    "The unit is energised while you measure: covers on, hands off, one skilled person alone decides. Only after the "
    "look, the protective conductor and the insulation have passed. Filters leak on purpose: the maker's manual and "
    "local rules come first."
)


class Heaters(BaseModel):
    """What large heaters may leak: A per kW above so many kW, up to `cap`."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    above_kilowatt: float
    per_kilowatt: float
    cap: float


class Rule(BaseModel):
    """A limit (A): `at_most` passes at the limit itself, `below` does not."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    at_most: float = math.inf
    below: float = math.inf
    heaters: bool = False
    source: str

    @property
    def limit(self) -> float:
        return min(self.at_most, self.below)


class Limits(BaseModel):
    """What ``leakage_current.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    heaters: Heaters
    rule: tuple[Rule, ...]


@cache
def limits() -> Limits:
    """The published limits."""
    path = Path(__file__).with_name("leakage_current.toml")
    return Limits.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))


class LeakageCurrent(BaseModel):
    """The reading, and the limit to judge it by."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    leakage: float = measured("A", "leakage current, the larger of both ways round of the plug", at_least=0)
    rule: Literal[
        "protective conductor, DIN VDE 0701-0702:2008",
        "touch, DIN VDE 0701-0702:2008",
        "class I portable, IET 4th edition",
        "class I, IET 4th edition",
        "class II, IET 4th edition",
        "any class, IET 5th edition",
    ] = Field(default="protective conductor, DIN VDE 0701-0702:2008", description="what is measured, by which standard")
    heater_kw: float | None = measured(
        "", "power of the heaters in kW, where it has any", default=None, above=0, at_most=1000
    )


def leakage_current(given: LeakageCurrent) -> Finding:
    """Leakage current against the limit of the chosen standard and edition; overrange fails.

    Values: limit_a (A). Drives and power supplies are outside the scope of EN 50678, so the limit is a model for
    them and not a mandate. Raises InputError for heaters where the rule has no row for them.

    Source: DIN VDE 0701-0702:2008 and the IET code of practice as reported; the finding names the edition.
    """
    rule = next(one for one in limits().rule if one.name == given.rule)
    limit, line = _limit(rule, given.heater_kw)
    strict = math.isfinite(rule.below)
    good = given.leakage < limit if strict else given.leakage <= limit
    read, allowed = show(given.leakage, "A"), show(limit, "A")
    scope = conductor_limits().scope
    return Finding(
        verdict=Verdict.PASS if good else Verdict.FAIL,
        says=f"{read} is {'within' if good else 'not within'} {allowed}",
        values=(Figure(name="limit_a", value=limit, unit="A"),),
        limit=f"{'below' if strict else 'at most'} {allowed}",
        working=(line, f"{read} against {allowed}: the limit itself {'fails' if strict else 'passes'}", scope),
        source=f"{rule.source}. {scope}",
        caution=CAUTION,
    )


def _limit(rule: Rule, kilowatts: float | None) -> tuple[float, str]:
    heaters = limits().heaters
    if kilowatts is not None and not rule.heaters:
        raise InputError(f"The rule “{rule.name}” has no row for heaters: leave their power out, or choose another.")
    if kilowatts is None or kilowatts <= heaters.above_kilowatt:
        return rule.limit, f"{rule.name}: {show(rule.limit, 'A')}"
    limit = min(heaters.per_kilowatt * kilowatts, heaters.cap)
    return limit, (
        f"heaters above {heaters.above_kilowatt:g} kW: {show(heaters.per_kilowatt, 'A')} × {kilowatts:g},"
        f" never above {show(heaters.cap, 'A')} = {show(limit, 'A')}"
    )
