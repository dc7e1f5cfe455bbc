"""Mean output of a thyristor bridge. Six pulses: Vd = (3√2/π) · U · cos α; three pulses, half wave: half of it."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Literal, NamedTuple, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured
from traveller.quantities import show

from .bridge import Motor, smooth, through_resistor

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
    """The supply with a firing angle, with the output or with the speed that is wanted; and what was measured."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    line_volts: float = measured("V", "supply volts, line to line", at_least=1e-3, at_most=1e5)
    firing_angle: float | None = measured("°", "firing angle, 0 to 180", default=None, at_least=0, at_most=180)
    volts: float | None = measured(
        "V", "in place of the angle: mean volts, to find their angle", default=None, at_least=-2e5, at_most=2e5
    )
    rpm: float | None = measured(
        "rpm",
        "in place of both: speed of the motor, for its volts and their angle",
        default=None,
        at_least=-1e5,
        at_most=1e5,
    )
    volts_per_rpm: float | None = measured(
        "", "of the motor at its field: back-EMF volts / rpm", default=None, at_least=1e-6, at_most=1e3
    )
    armature_ohms: float = measured("Ω", "armature resistance of the motor", default=0.0, at_least=0, at_most=1e6)
    amps: float | None = measured("A", "direct current, smooth, of the motor", default=None, at_least=0, at_most=1e6)
    load_ohms: float | None = measured(
        "Ω", "in place of the amps: a resistor as load, lamps or a field", default=None, at_least=1e-6, at_most=1e9
    )
    measured_volts: float | None = measured(
        "V", "mean volts at the armature terminals", default=None, at_least=-2e5, at_most=2e5
    )
    bridge: Literal["six pulses", "three pulses, half wave"] = Field(default="six pulses", description="kind of bridge")
    allowed: float = measured(
        "%", "allowed departure, of the full output", default=usual().allowed_percent, above=0, at_most=100
    )

    @model_validator(mode="after")
    def _one_question(self) -> Self:
        if [self.firing_angle, self.volts, self.rpm].count(None) != 2:
            raise ValueError("give either the firing angle, or the volts, or the rpm of the motor")
        if self.rpm is not None and self.volts_per_rpm is None:
            raise ValueError("the volts follow from the rpm and the volts per rpm: give both")
        if self.amps is not None and self.load_ohms is not None:
            raise ValueError("give either the amps of a motor or the ohms of a resistor")
        if self.load_ohms is not None and self.bridge != SIX:
            raise ValueError("currents through a resistor are worked out for six pulses only: leave its ohms out")
        return self

    @property
    def motor(self) -> Motor | None:
        """The motor behind the bridge, where its volts per rpm are known."""
        if self.volts_per_rpm is None:
            return None
        return Motor(self.volts_per_rpm, self.armature_ohms, self.amps or 0.0)


class Output(NamedTuple):
    """Mean volts and firing angle, the values that were asked for, what they say, and the formulas."""

    volts: float
    angle: float
    values: tuple[Figure, ...]
    says: str
    lines: tuple[str, ...]


def converter_output(given: ConverterOutput) -> Finding:
    """Mean volts of a thyristor bridge at a firing angle, or the firing angle for volts or for the speed of a motor.

    Values: volts (V; negative when it feeds back), or angle (°) when volts were given, or both when rpm was given;
    rpm with the volts per rpm of the motor. With amps: line_amps, thyristor_average_a, thyristor_rms_a (A) and
    power_factor (six pulses); with load_ohms: amps, volts_rms, amps_rms, those of a thyristor, and efficiency (%).
    departure_percent (% of the output at 0°) with a measured value. Continuous current, no overlap: overlap lowers
    the volts. The allowed departure is common practice and itself passes. Raises InputError for more volts than the
    bridge can give, and for a resistor above 60°. Source: the textbook formula of the six-pulse and of the
    three-pulse bridge.
    """
    whole = 3 * math.sqrt(2) / math.pi * given.line_volts
    full = whole if given.bridge == SIX else whole / 2
    factor = "3√2/π" if given.bridge == SIX else "3√2/2π"
    output = _worked_out(given, full, f"({factor}) × {show(given.line_volts, 'V')}")
    figures, lines = _currents(given, output)
    values: tuple[Figure, ...] = (*output.values, *figures)
    working: tuple[str, ...] = (*output.lines, *lines, f"{given.bridge}, continuous current, no overlap")
    good, says = True, output.says
    if given.measured_volts is not None:
        gone = 100 * abs(given.measured_volts - output.volts) / full
        good = gone <= given.allowed + NEARLY
        values += (Figure(name="departure_percent", value=gone, unit="%"),)
        read = show(given.measured_volts, "V")
        working += (f"100 × |{read} − {show(output.volts, 'V')}| / {show(full, 'V')} = {gone:.3g} %",)
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


def _worked_out(given: ConverterOutput, full: float, shown: str) -> Output:
    if given.firing_angle is not None:
        volts = full * math.cos(math.radians(given.firing_angle))
        line = f"Vd = {shown} × cos {given.firing_angle:g}° = {show(volts, 'V')}"
        values = (Figure(name="volts", value=volts, unit="V"), *_speed(given, volts))
        return Output(volts, given.firing_angle, values, f"{show(volts, 'V')} is to be expected", (line,))
    volts, lines = _wanted(given)
    if abs(volts) > full * (1 + NEARLY):
        raise InputError(
            f"{show(volts, 'V')} cannot be: this bridge gives at most {show(full, 'V')} on "
            f"{show(given.line_volts, 'V')}. Look at both."
        )
    angle = math.degrees(math.acos(max(-1.0, min(1.0, volts / full))))
    line = f"α = arccos({show(volts, 'V')} / ({shown})) = {angle:.4g}°"
    asked = Figure(name="angle", value=angle, unit="°")
    values = (Figure(name="volts", value=volts, unit="V"), asked) if given.rpm is not None else (asked,)
    words = f"a firing angle of {angle:.4g}°" + (f" for {show(volts, 'V')}" if given.rpm is not None else "")
    return Output(volts, angle, (*values, *_speed(given, volts)), words, (*lines, line))


def _wanted(given: ConverterOutput) -> tuple[float, tuple[str, ...]]:
    """The volts that were given, or those of the motor at its speed."""
    if given.rpm is None or given.motor is None:
        return given.volts or 0.0, ()
    volts, motor = given.motor.volts(given.rpm), given.motor
    line = (
        f"Va = {motor.volts_per_rpm:g} V/rpm × {given.rpm:g} rpm + {show(motor.amps, 'A')} × {show(motor.ohms, 'Ω')}"
        f" = {show(volts, 'V')}"
    )
    return volts, (line,)


def _speed(given: ConverterOutput, volts: float) -> tuple[Figure, ...]:
    if given.motor is None or given.rpm is not None:
        return ()
    return (Figure(name="rpm", value=given.motor.rpm(volts), unit="rpm"),)


def _currents(given: ConverterOutput, output: Output) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    if given.load_ohms is not None:
        return through_resistor(given.line_volts, output.volts, output.angle, given.load_ohms)
    if given.amps is None or given.bridge != SIX:
        return (), ()
    return smooth(given.amps, output.angle)
