"""Diode-test volts of power semiconductors against a published rule.

The same reading passes one maker's rule and fails another's, so the rule is chosen for the device in hand and
named in the finding. The rules stand in ``diodes.toml``.
"""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from traveller.judgement import Figure, Finding, Verdict
from traveller.quantities import show

CAUTION = (
    "Isolate, wait and measure the link dead first. In circuit a reading holds the parallel paths too: "
    "take a bad one again with the device out. A static test that passes proves neither switching nor "
    "gate drive."
)
GOOD, LOW, HIGH, OPEN, CONDUCTS = "good", "low", "high", "open", "conducts"


class Rule(BaseModel):
    """Forward volts between which a device is good, both edges included, and who published them."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    low: float
    high: float
    source: str


@cache
def rules() -> dict[str, Rule]:
    """The published rules by the name of the device."""
    data = tomllib.loads(Path(__file__).with_name("diodes.toml").read_text(encoding="utf-8"))
    return {rule.name: rule for rule in map(Rule.model_validate, data["rule"])}


def _overrange(value: object) -> object:
    return math.inf if isinstance(value, str) and value.strip().upper() in ("OL", "0L", "O.L") else value


Volts = Annotated[float, BeforeValidator(_overrange), Field(ge=0)]


class DiodeCheck(BaseModel):
    """The readings of the meter's diode range, OL included, and the rule to judge them by."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    volts: tuple[Volts, ...] = Field(
        min_length=1,
        max_length=48,
        description="diode-test readings, OL for overrange",
        json_schema_extra={"unit": "V"},
    )
    rule: Literal[
        "rectifier diode",
        "inverter diode",
        "input diode or thyristor module",
        "transistor module",
        "transistor module, whole link",
        "diode module",
    ] = Field(description="kind of device: its published rule")
    direction: Literal["forward", "reverse"] = Field(default="forward", description="which way round it was measured")


def diode_check(given: DiodeCheck) -> Finding:
    """Each reading against the rule: good, low, high or open forward; good or conducts in reverse.

    Values: outcome_1, outcome_2, ... (one word per reading, in order), bad (how many are not good). Fails when one
    is not good. A reading exactly on an edge of the rule is good.

    Source: the chosen rule's: service manuals of Grundfos, Danfoss, Powertec, Tweco; the unit's own comes first.
    """
    rule = rules()[given.rule]
    states = [_state(volts, rule, given.direction) for volts in given.volts]
    bad = [f"reading {place} {state}" for place, state in enumerate(states, 1) if state != GOOD]
    limit = f"{show(rule.low, 'V')} to {show(rule.high, 'V')}" if given.direction == "forward" else "OL"
    return Finding(
        verdict=Verdict.FAIL if bad else Verdict.PASS,
        says=", ".join(bad) or f"all {len(states)} good as {given.rule}",
        values=(
            *(Figure(name=f"outcome_{place}", value=state) for place, state in enumerate(states, 1)),
            Figure(name="bad", value=float(len(bad))),
        ),
        limit=limit,
        working=(
            f"rule for {rule.name}, {given.direction}: {limit}, both edges good",
            *(
                f"reading {place}: {_shown(volts)} is {state}"
                for place, (volts, state) in enumerate(zip(given.volts, states, strict=True), 1)
            ),
        ),
        source=rule.source,
        caution=CAUTION,
    )


def _shown(volts: float) -> str:
    return "OL" if math.isinf(volts) else show(volts, "V")


def _state(volts: float, rule: Rule, direction: str) -> str:
    if direction == "reverse":
        return GOOD if math.isinf(volts) else CONDUCTS
    if math.isinf(volts):
        return OPEN
    if volts < rule.low:
        return LOW
    return HIGH if volts > rule.high else GOOD
