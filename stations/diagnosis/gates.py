"""Gate resistance of thyristors and transistors, each against a published rule and against its siblings."""

from __future__ import annotations

import math
import statistics
import tomllib
from functools import cache
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from traveller.judgement import Figure, Finding, Verdict
from traveller.quantities import show

CAUTION = (
    "Link measured dead first, wrist strap on, gates kept shorted while you handle them. In circuit a reading holds "
    "the parallel paths too. A gate that reads well proves neither switching nor gate drive."
)
GOOD, LOW, HIGH, OPEN, ODD = "good", "low", "high", "open", "unlike the others"
NEARLY = 1e-9


class Rule(BaseModel):
    """What a maker calls good: bounds in Ω, and how alike the siblings have to be."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    low: float = 0.0
    high: float = math.inf
    spread_percent: float | None = None
    neighbours: float | None = None
    fitted: float | None = None
    source: str

    def state(self, ohms: float, others: list[float], median: float) -> str:
        if math.isinf(ohms):
            return OPEN
        if ohms < self.low:
            return LOW
        if ohms > self.high:
            return HIGH
        return GOOD if self._alike(ohms, others, median) else ODD

    def _alike(self, ohms: float, others: list[float], median: float) -> bool:
        if self.neighbours is not None and others:
            middle = statistics.median(others)
            return middle / self.neighbours - NEARLY <= ohms <= middle * self.neighbours + NEARLY
        if self.spread_percent is not None and math.isfinite(median):
            return abs(ohms - median) <= median * self.spread_percent / 100 + NEARLY
        return True

    def in_words(self) -> str:
        upper = "" if math.isinf(self.high) else f"at most {show(self.high, 'Ω')}"
        parts = [f"at least {show(self.low, 'Ω')}" if self.low else "", upper]
        if self.spread_percent is not None:
            parts.append(f"within {self.spread_percent:g} % of the median")
        if self.neighbours is not None:
            parts.append(f"not above {self.neighbours:g} times or below 1/{self.neighbours:g} of the others")
        return ", ".join(filter(None, parts))


class Rules(BaseModel):
    """What ``gates.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    together: str
    rule: tuple[Rule, ...]


@cache
def rules() -> Rules:
    """The published rules."""
    return Rules.model_validate(tomllib.loads(Path(__file__).with_name("gates.toml").read_text(encoding="utf-8")))


class GateResistance(BaseModel):
    """The readings, gate to cathode or gate to source, and the rule to judge them by."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    readings: tuple[Annotated[float, Field(ge=0)], ...] = Field(
        min_length=1,
        max_length=48,
        description="gate resistance of each device, OL for overrange",
        json_schema_extra={"unit": "Ω"},
    )
    rule: Literal[
        "thyristor, all alike",
        "thyristor, 10 to 50 Ω",
        "thyristor, 8 to 20 Ω",
        "thyristor, 1 to 25 Ω",
        "transistor with its gate resistor",
        "intelligent power module",
    ] = Field(default="thyristor, all alike", description="kind of device: its published rule")
    parallel: int = Field(default=1, ge=1, le=12, description="modules in parallel on one output leg")


def gate_resistance(given: GateResistance) -> Finding:
    """Each gate against the rule: good, low, high, open, or unlike the others.

    Values: outcome_1, outcome_2, ... (one word per reading, in order), bad (how many are not good), with a fitted
    resistor expected_ohm (Ω, by the modules in parallel), and where one is bad replace_together (modules of that
    leg). Fails when one is not good. A reading exactly on an edge is good.

    Source: the chosen rule's: manuals of Siemens, Carrier, Danfoss, ESAB, Mitsubishi; the unit's own comes first.
    """
    rule = next(one for one in rules().rule if one.name == given.rule)
    states = _states(given.readings, rule)
    bad = [f"reading {place} {state}" for place, state in enumerate(states, 1) if state != GOOD]
    expected = None if rule.fitted is None else rule.fitted / given.parallel
    together = f"; replace all {given.parallel} modules of that leg, same gain code" if given.parallel > 1 else ""
    return Finding(
        verdict=Verdict.FAIL if bad else Verdict.PASS,
        says=f"{', '.join(bad)}{together}" if bad else f"all {len(states)} good",
        values=(
            *(Figure(name=f"outcome_{place}", value=state) for place, state in enumerate(states, 1)),
            Figure(name="bad", value=float(len(bad))),
            *(() if expected is None else (Figure(name="expected_ohm", value=expected, unit="Ω"),)),
            *((Figure(name="replace_together", value=float(given.parallel)),) if bad else ()),
        ),
        limit=rule.in_words(),
        working=(
            f"rule {rule.name}: {rule.in_words()}, every edge good",
            *_expected_line(rule, given.parallel),
            *(
                f"reading {place}: {show(ohms, 'Ω')} is {state}"
                for place, (ohms, state) in enumerate(zip(given.readings, states, strict=True), 1)
            ),
        ),
        source=f"{rule.source}; {rules().together}" if given.parallel > 1 else rule.source,
        caution=CAUTION,
    )


def _states(readings: tuple[float, ...], rule: Rule) -> list[str]:
    median = statistics.median(readings)
    return [rule.state(ohms, _others(readings, place), median) for place, ohms in enumerate(readings)]


def _others(readings: tuple[float, ...], place: int) -> list[float]:
    """The readings of the siblings that show one."""
    return [ohms for at, ohms in enumerate(readings) if at != place and math.isfinite(ohms)]


def _expected_line(rule: Rule, parallel: int) -> tuple[str, ...]:
    if rule.fitted is None:
        return ()
    expected = show(rule.fitted / parallel, "Ω")
    return (f"to be expected: {show(rule.fitted, 'Ω')} fitted / {parallel} in parallel = {expected}",)
