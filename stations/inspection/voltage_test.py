"""The voltage test of what came with the unit: how many volts, and whether that was what was applied.

Windings of motors, chokes and transformers. The unit itself only by its own service manual: makers of drives forbid
any voltage test on them.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured
from traveller.quantities import show

CAUTION = (
    "It can kill: guarded area, dead-man switch, two people, a person licensed for it. Insulation resistance first. "
    "Never on the drive itself, makers forbid it; electronics, filters and arresters off. After a DC test discharge "
    "for at least as long as the test. Each test ages the winding: again only at reduced volts."
)
NEARLY = 1e-9


class Rule(BaseModel):
    """Test volts = share × (plus + times × rated volts); `most`: no more than that."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    plus: float = 0.0
    times: float = 0.0
    share: float = 1.0
    most: bool = False
    by_manual: bool = False
    source: str


class Stress(BaseModel):
    """The law by which volts and time age an insulation alike."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    exponent: float
    hours_a_year: float
    source: str


class Limits(BaseModel):
    """What ``voltage_test.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    seconds: float
    stress: Stress
    rule: tuple[Rule, ...]


@cache
def limits() -> Limits:
    """The published test volts."""
    path = Path(__file__).with_name("voltage_test.toml")
    return Limits.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))


class VoltageTest(BaseModel):
    """What is tested and, once it is done, what was applied and how it ended."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    rated_volts: float = measured("V", "rated volts of the winding, line to line", at_least=1, at_most=20_000)
    rule: Literal[
        "new winding, AC",
        "new winding, DC",
        "winding after repair, AC",
        "winding after repair, DC",
        "accessory, AC",
        "accessory, DC",
        "unit, by its own service manual",
    ] = Field(default="winding after repair, AC", description="what is tested, and with which volts")
    applied: float | None = measured("V", "test volts applied", default=None, at_least=0, at_most=100_000)
    seconds: float = measured("s", "how long", default=limits().seconds, at_least=0, at_most=3600)
    withstood: Literal["yes", "no"] = Field(default="yes", description="no breakdown, no trip of the tester?")
    manual_volts: float | None = measured(
        "V", "for the unit itself: what its service manual asks", default=None, above=0, at_most=100_000
    )


def voltage_test(given: VoltageTest) -> Finding:
    """Volts of a voltage test, and the test that was made against them.

    Values: test_volts (V); with what was applied equals_years (years at the rated volts that stress an insulation
    as much). A breakdown fails, and so does more than is allowed. Undecided before it is done, and after a test that
    was too short or, where the volts have to be reached, too low. The volts themselves pass. Raises InputError for
    the unit itself without what its service manual asks.

    Source: EASA AR100-2020; the unit's own service manual; Semikron AN 16-002 for the stress.
    """
    rule = next(one for one in limits().rule if one.name == given.rule)
    volts, line = _test_volts(given, rule)
    verdict, says = _outcome(given, rule, volts)
    stress = () if given.applied is None else (_equal_stress(given.rated_volts, given.applied, given.seconds),)
    return Finding(
        verdict=verdict,
        says=says,
        values=(
            Figure(name="test_volts", value=volts, unit="V"),
            *(Figure(name="equals_years", value=years) for years in stress),
        ),
        limit=f"{'at most' if rule.most else 'test with'} {show(volts, 'V')}, {limits().seconds:g} s",
        working=(
            line,
            *(f"(applied / rated)⁶ × {given.seconds:g} s = {years:.4g} years at rated volts" for years in stress),
        ),
        source=f"{rule.source}; {limits().stress.source}" if stress else rule.source,
        caution=CAUTION,
    )


def _test_volts(given: VoltageTest, rule: Rule) -> tuple[float, str]:
    if rule.by_manual:
        if given.manual_volts is None:
            raise InputError(
                "Makers of drives forbid a voltage test on the unit: without a procedure in its own service manual do "
                "not make one. With one, type the volts that it asks."
            )
        return given.manual_volts, f"the service manual asks {show(given.manual_volts, 'V')}"
    volts = rule.share * (rule.plus + rule.times * given.rated_volts)
    inner = f"{rule.plus:g} V + {rule.times:g} × {show(given.rated_volts, 'V')}"
    return volts, f"{rule.share:g} × ({inner}) = {show(volts, 'V')}"


def _outcome(given: VoltageTest, rule: Rule, volts: float) -> tuple[Verdict, str]:
    asked = f"{show(volts, 'V')} for {limits().seconds:g} s"
    if given.applied is None:
        limit = "no more than " if rule.most else ""
        return Verdict.UNDECIDED, f"not made yet: {limit}{asked}, then type what was applied"
    made = f"{show(given.applied, 'V')} for {given.seconds:g} s"
    if given.withstood == "no":
        return Verdict.FAIL, f"{made}: it broke down"
    if given.applied > volts * (1 + NEARLY):
        return Verdict.FAIL, f"{made} is more than the {show(volts, 'V')} that are allowed: it has been overstressed"
    if given.seconds < limits().seconds or (not rule.most and given.applied < volts * (1 - NEARLY)):
        return Verdict.UNDECIDED, f"{made} is less than {asked}: it proves too little"
    return Verdict.PASS, f"{made} withstood"


def _equal_stress(rated: float, applied: float, seconds: float) -> float:
    """Years at the rated volts that stress an insulation as much as the test did."""
    law = limits().stress
    return float((applied / rated) ** law.exponent) * seconds / 3600 / law.hours_a_year
