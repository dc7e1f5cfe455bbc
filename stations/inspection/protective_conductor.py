"""Resistance of the protective conductor, against a limit that depends on its length and cross-section.

Up to 1.5 mm² the limit rises in steps; above, it is R = l / (κ · A). Between two steps the published text
does not say whether a started step counts, so the rule is a stated setting; the strictest is the default.
"""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from traveller.judgement import Figure, Finding, Verdict, measured
from traveller.quantities import show

CAUTION = (
    "Off the supply and proved dead first. Scrape to bare metal and move the lead while you measure. The "
    "unit must not be energised with an open protective conductor. Local rules and the maker's manual come "
    "first."
)
NANO = 9
NEARLY = 1e-9


class Steps(BaseModel):
    """The limit of a thin conductor: `first` (Ω) up to `first_length` (m), then more for each further one."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    first: float
    first_length: float
    further: float
    further_length: float


class Portable(BaseModel):
    """The limit of a portable appliance: `first` (Ω) and the resistance of its lead."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    first: float
    source: str


class Limits(BaseModel):
    """What ``protective_conductor.toml`` holds: mm², Ω, and m/(Ω·mm²)."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    scope: str
    source: str
    thin_up_to: float
    cap: float
    floor: float
    conductivity: float
    portable: Portable
    steps: Steps


@cache
def limits() -> Limits:
    """The published limits."""
    path = Path(__file__).with_name("protective_conductor.toml")
    return Limits.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))


class ProtectiveConductor(BaseModel):
    """The reading without the resistance of the test leads, and the conductor that it runs through."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    resistance: float = measured("Ω", "reading, test leads taken off", at_least=0)
    length_m: float = measured("m", "length of the conductor, cord included", above=0, at_most=1000)
    cross_section_mm2: float = measured("", "cross-section of the conductor in mm²", above=0, at_most=1000)
    between_steps: Literal["full steps", "pro rata", "started steps"] = Field(
        default="full steps",
        description="what a part of a 7.5 m step adds to the limit; full steps is strictest",
    )
    contact_allowance: float = measured(
        "Ω", "allowance for contacts, above 1.5 mm² only", default=0.0, at_least=0, at_most=0.1
    )
    rule: Literal["EN 50678", "portable appliance"] = Field(default="EN 50678", description="whose limit")


def protective_conductor(given: ProtectiveConductor) -> Finding:
    """Resistance of a protective conductor against the limit for its length; overrange fails, it is open.

    Values: limit_ohm (Ω). Drives and power supplies are outside the scope of EN 50678, so the limit is a model
    for them and not a mandate. Source: EN 50678 and EN 50699 as reported;
    UK practice for portable appliances.
    """
    limit, working = _limit(given)
    of = limits().portable.source if given.rule == "portable appliance" else limits().source
    reading, allowed = show(given.resistance, "Ω"), show(limit, "Ω")
    good = given.resistance <= limit
    return Finding(
        verdict=Verdict.PASS if good else Verdict.FAIL,
        says=f"{reading} is {'within' if good else 'above'} {allowed}",
        values=(Figure(name="limit_ohm", value=limit, unit="Ω"),),
        limit=f"at most {allowed}",
        working=(*working, f"{reading} against {allowed}: the limit itself passes", limits().scope),
        source=f"{of}. {limits().scope}",
        caution=CAUTION,
    )


def _limit(given: ProtectiveConductor) -> tuple[float, tuple[str, ...]]:
    if given.rule == "portable appliance":
        return _by_lead(given)
    return _by_steps(given) if given.cross_section_mm2 <= limits().thin_up_to else _by_length(given)


def _by_lead(given: ProtectiveConductor) -> tuple[float, tuple[str, ...]]:
    first, lead = limits().portable.first, _alone(given)
    limit = first + lead
    return limit, (f"limit = {show(first, 'Ω')} + lead {show(lead, 'Ω')} = {show(limit, 'Ω')}",)


def _alone(given: ProtectiveConductor) -> float:
    """R = l / (κ × A) in Ω."""
    return given.length_m / (limits().conductivity * given.cross_section_mm2)


def _by_steps(given: ProtectiveConductor) -> tuple[float, tuple[str, ...]]:
    steps, cap = limits().steps, limits().cap
    beyond = max(0.0, (given.length_m - steps.first_length) / steps.further_length)
    counted = {
        "full steps": math.floor(beyond + NEARLY),
        "pro rata": beyond,
        "started steps": math.ceil(beyond - NEARLY),
    }[given.between_steps]
    limit = min(round(steps.first + steps.further * counted, NANO), cap)
    return limit, (
        f"further steps = ({given.length_m:g} m − {steps.first_length:g} m) / {steps.further_length:g} m ="
        f" {beyond:.3g}; counted by {given.between_steps}: {counted:.3g}",
        f"limit = {show(steps.first, 'Ω')} + {counted:.3g} × {show(steps.further, 'Ω')},"
        f" never above {show(cap, 'Ω')} = {show(limit, 'Ω')}",
    )


def _by_length(given: ProtectiveConductor) -> tuple[float, tuple[str, ...]]:
    known = limits()
    alone = _alone(given)
    limit = min(max(alone + given.contact_allowance, known.floor), known.cap)
    return limit, (
        f"R = l / (κ × A) = {given.length_m:g} m / ({known.conductivity:g} × {given.cross_section_mm2:g} mm²)"
        f" = {show(alone, 'Ω')}, contacts {show(given.contact_allowance, 'Ω')}",
        f"limit = their sum, never below {show(known.floor, 'Ω')} or above {show(known.cap, 'Ω')} = {show(limit, 'Ω')}",
    )
