"""Mean output of a thyristor bridge. Six pulses: Vd = (3√2/π) · U · cos α; three pulses, half wave: half of it."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured
from traveller.quantities import show

CAUTION = (
    "An estimate is never a proof: measure. The armature is at full voltage and the field keeps it turning; "
    "never open the field under way."
)
SIX = "six pulses"
NEARLY = 1e-9


class Allowed(BaseModel):
    """What ``converter.toml`` holds; percent of the full output."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    allowed_percent: float
    source: str


@cache
def usual() -> Allowed:
    """The usual allowed departure."""
    return Allowed.model_validate(tomllib.loads(Path(__file__).with_name("converter.toml").read_text(encoding="utf-8")))


class ConverterOutput(BaseModel):
    """The supply with a firing angle, or with the output that is wanted; and what was measured."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    line_volts: float = measured("V", "supply volts, line to line", at_least=1e-3, at_most=1e5)
    firing_angle: float | None = measured("°", "firing angle, 0 to 180", default=None, at_least=0, at_most=180)
    volts: float | None = measured(
        "V", "in place of the angle: mean volts, to find their angle", default=None, at_least=-2e5, at_most=2e5
    )
    measured_volts: float | None = measured(
        "V", "mean volts at the armature terminals", default=None, at_least=-2e5, at_most=2e5
    )
    bridge: Literal["six pulses", "three pulses, half wave"] = Field(default="six pulses", description="kind of bridge")
    allowed: float = measured(
        "%", "allowed departure, of the full output", default=usual().allowed_percent, above=0, at_most=100
    )

    @model_validator(mode="after")
    def _angle_or_volts(self) -> Self:
        if (self.firing_angle is None) == (self.volts is None):
            raise ValueError("give either the firing angle or the volts")
        return self


def converter_output(given: ConverterOutput) -> Finding:
    """Mean volts of a thyristor bridge at a firing angle, or the firing angle for the volts.

    Values: volts (V; negative when it feeds back), or angle (°) when volts were given; departure_percent (% of
    the output at 0°) with a measured value. Continuous current, no overlap: overlap lowers the volts. The
    allowed departure is common practice and itself passes. Raises InputError for more volts than the bridge
    can give. Source: the textbook formula of the six-pulse and of the three-pulse bridge.
    """
    whole = 3 * math.sqrt(2) / math.pi * given.line_volts
    full = whole if given.bridge == SIX else whole / 2
    factor = "3√2/π" if given.bridge == SIX else "3√2/2π"
    volts, value, says, line = _worked_out(given, full, f"({factor}) × {show(given.line_volts, 'V')}")
    values: tuple[Figure, ...] = (value,)
    working: tuple[str, ...] = (line, f"{given.bridge}, continuous current, no overlap")
    good = True
    if given.measured_volts is not None:
        gone = 100 * abs(given.measured_volts - volts) / full
        good = gone <= given.allowed + NEARLY
        values += (Figure(name="departure_percent", value=gone, unit="%"),)
        read = show(given.measured_volts, "V")
        working += (f"100 × |{read} − {show(volts, 'V')}| / {show(full, 'V')} = {gone:.3g} %",)
        says += f"; {read} is {'near it' if good else 'off: look for a missing pulse'}"
    return Finding(
        verdict=Verdict.PASS if good else Verdict.FAIL,
        says=says,
        values=values,
        limit=f"within {given.allowed:g} % of the full output",
        working=working,
        source=f"textbook formula of the bridge; {usual().source}",
        caution=CAUTION,
    )


def _worked_out(given: ConverterOutput, full: float, shown: str) -> tuple[float, Figure, str, str]:
    """The mean volts, the value that was asked for, what it says, and the formula."""
    if given.volts is None:
        angle = given.firing_angle or 0.0
        volts = full * math.cos(math.radians(angle))
        line = f"Vd = {shown} × cos {angle:g}° = {show(volts, 'V')}"
        return volts, Figure(name="volts", value=volts, unit="V"), f"{show(volts, 'V')} is to be expected", line
    if abs(given.volts) > full * (1 + NEARLY):
        raise InputError(
            f"{show(given.volts, 'V')} cannot be: this bridge gives at most {show(full, 'V')} on "
            f"{show(given.line_volts, 'V')}. Look at both."
        )
    angle = math.degrees(math.acos(max(-1.0, min(1.0, given.volts / full))))
    line = f"α = arccos({show(given.volts, 'V')} / ({shown})) = {angle:.4g}°"
    return given.volts, Figure(name="angle", value=angle, unit="°"), f"a firing angle of {angle:.4g}°", line
