"""Insulation resistance of motor, cable or brake resistor, carried to a standard temperature.

R40 = R · 0.5^((40 − T) / 10): the resistance halves for every 10 K. Never on the drive itself, unless its
service manual gives a procedure: makers forbid it.
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
    "Never on the drive or its electronics, unless its service manual gives a procedure: makers forbid it. "
    "Unplug the drive, surge arresters and filters first. The tester puts its voltage on what you touch: "
    "keep people off. Afterwards discharge for at least as long as you measured. Local rules come first."
)


class Rule(BaseModel):
    """One published minimum (Ω), the temperature (°C) it holds at and the test voltage (V DC) it asks for."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    source: str
    minimum: float
    per_kilovolt: float = 0.0
    at_celsius: float | None = None
    test_volts: float | None = None
    by_manual: bool = False


class Limits(BaseModel):
    """What ``insulation.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    reference_celsius: float
    halves_every: float
    rule: tuple[Rule, ...]


@cache
def limits() -> Limits:
    """The published minima and the rule for temperature."""
    return Limits.model_validate(tomllib.loads(Path(__file__).with_name("insulation.toml").read_text(encoding="utf-8")))


class Insulation(BaseModel):
    """The reading after one minute, how it was taken, and which minimum holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    resistance: float = measured("Ω", "reading after one minute, OL for overrange", at_least=0)
    temperature: float = measured("°C", "temperature of the winding or part", at_least=-40, at_most=200)
    test_voltage: float = measured("V", "test voltage, DC", above=0, at_most=20_000)
    specimen: Literal[
        "power circuit to earth",
        "circuit up to 500 V",
        "circuit above 500 V",
        "extra-low-voltage circuit",
        "brake resistor",
        "motor and cable, as a drive maker asks",
        "random-wound motor below 1 kV",
        "form-wound motor since 1970",
        "motor wound before 1970",
        "unit, by its own service manual",
    ] = Field(default="power circuit to earth", description="what was measured; it sets the minimum")
    rated_voltage: float | None = measured(
        "V", "rated voltage of a motor wound before 1970", default=None, above=0, at_most=100_000
    )
    manual_minimum: float | None = measured(
        "Ω", "minimum in the unit's service manual", default=None, above=0, at_most=1e15
    )


def insulation(given: Insulation) -> Finding:
    """Pass at or above the minimum; undecided if measured with less than the rule's test voltage.

    Values: at_40c_ohm and minimum (Ω). A minimum that is published for a temperature is compared with the
    reading carried there; the others with the reading itself. Raises InputError if the rule needs a figure
    that was not given.
    """
    rule = next(one for one in limits().rule if one.name == given.specimen)
    minimum = _minimum(rule, given)
    at_reference = _carried(given, limits().reference_celsius)
    compared = given.resistance if rule.at_celsius is None else _carried(given, rule.at_celsius)
    verdict = _verdict(rule, given, compared, minimum)
    at_least, shown = show(minimum, "Ω"), show(compared, "Ω")
    where = "as read" if rule.at_celsius is None else f"at {rule.at_celsius:g} °C"
    reference = f"{limits().reference_celsius:g} °C"
    return Finding(
        verdict=verdict,
        says=_says(verdict, rule, given, f"{shown} {where}", at_least),
        values=(
            Figure(name="at_40c_ohm", value=at_reference, unit="Ω"),
            Figure(name="minimum", value=minimum, unit="Ω"),
        ),
        limit=f"at least {at_least} {where}",
        working=(
            f"R at {reference} = R × 0.5^(({reference} − T) / {limits().halves_every:g} K) ="
            f" {show(given.resistance, 'Ω')} at {given.temperature:g} °C = {show(at_reference, 'Ω')}",
            f"compared {where}: {shown} with {at_least}; the minimum itself passes",
        ),
        source=rule.source,
        caution=CAUTION,
    )


def _carried(given: Insulation, celsius: float) -> float:
    """The reading in Ω as it would be at another temperature."""
    return given.resistance * float(0.5 ** ((celsius - given.temperature) / limits().halves_every))


def _minimum(rule: Rule, given: Insulation) -> float:
    if rule.by_manual:
        if given.manual_minimum is None:
            raise InputError(
                "Type the minimum that the service manual of the unit gives. If it gives no procedure, do "
                "not measure insulation on the unit at all: answer not applicable."
            )
        return given.manual_minimum
    if not rule.per_kilovolt:
        return rule.minimum
    if given.rated_voltage is None:
        raise InputError("Type the rated voltage of the motor: its minimum depends on it.")
    return rule.minimum + rule.per_kilovolt * given.rated_voltage / 1000


def _verdict(rule: Rule, given: Insulation, compared: float, minimum: float) -> Verdict:
    if compared < minimum:
        return Verdict.FAIL
    too_few_volts = rule.test_volts is not None and given.test_voltage < rule.test_volts
    return Verdict.UNDECIDED if too_few_volts else Verdict.PASS


def _says(verdict: Verdict, rule: Rule, given: Insulation, shown: str, at_least: str) -> str:
    if verdict is Verdict.UNDECIDED and rule.test_volts is not None:
        return (
            f"{shown}, but measured with {show(given.test_voltage, 'V')}: "
            f"measure again with {show(rule.test_volts, 'V')}"
        )
    return f"{shown} is {'below' if verdict is Verdict.FAIL else 'at or above'} {at_least}"
