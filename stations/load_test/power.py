"""Three-phase input power, efficiency and torque. P = √3 · U · I · pf; η = 100 · Pout / Pin; T = Pout / ω."""

from __future__ import annotations

import math
from typing import Self

from pydantic import BaseModel, ConfigDict, model_validator

from traveller.judgement import Figure, Finding, Verdict, measured
from traveller.quantities import show

CAUTION = "Meter and fused leads of the right category. A clamp and a plain meter misread a drive's current."


class Power(BaseModel):
    """The three-phase input, line to line, and if it was measured the output."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    line_volts: float = measured("V", "input volts, line to line, mean of the three", at_least=1e-3, at_most=1e5)
    amps: float = measured("A", "input amps, mean of the three", at_least=1e-6, at_most=1e5)
    power_factor: float = measured("", "power factor of the input, 0 to 1", at_least=1e-3, at_most=1)
    output_w: float | None = measured("W", "output power, if it was measured", default=None, at_least=0, at_most=1e10)
    rpm: float | None = measured("rpm", "speed of the shaft, for its torque", default=None, at_least=1e-3, at_most=1e6)

    @model_validator(mode="after")
    def _torque_of_something(self) -> Self:
        if self.rpm is not None and self.output_w is None:
            raise ValueError("give the output power too: the torque follows from it and from the speed")
        return self


def power(given: Power) -> Finding:
    """Input power, and efficiency if the output is given; more out than in fails, a reading is wrong.

    Values: input_w (W), efficiency (%, only with an output), torque_nm (N·m, with the speed too). Source: the
    definition of three-phase power.
    """
    watts = math.sqrt(3) * given.line_volts * given.amps * given.power_factor
    shown = show(watts, "W")
    working: tuple[str, ...] = (
        f"P = √3 × U × I × pf = √3 × {show(given.line_volts, 'V')} × {show(given.amps, 'A')}"
        f" × {given.power_factor:g} = {shown}",
    )
    values: tuple[Figure, ...] = (Figure(name="input_w", value=watts, unit="W"),)
    if given.output_w is None:
        return _finding(Verdict.PASS, f"{shown} in", values, working)
    efficiency = 100 * given.output_w / watts
    values += (Figure(name="efficiency", value=efficiency, unit="%"),)
    out = show(given.output_w, "W")
    working += (f"η = 100 × {out} / {shown} = {efficiency:.4g} %",)
    if given.rpm is not None:
        torque = 60 * given.output_w / (2 * math.pi * given.rpm)
        values += (Figure(name="torque_nm", value=torque, unit="N·m"),)
        working += (f"T = 60 × {out} / (2π × {given.rpm:g} rpm) = {show(torque, 'N·m')}",)
    if efficiency > 100:
        return _finding(Verdict.FAIL, f"{out} out of {shown} in cannot be: measure both again", values, working)
    return _finding(Verdict.PASS, f"{shown} in, {out} out, {efficiency:.3g} %", values, working)


def _finding(verdict: Verdict, says: str, values: tuple[Figure, ...], working: tuple[str, ...]) -> Finding:
    return Finding(
        verdict=verdict,
        says=says,
        values=values,
        limit="not more out than in",
        working=working,
        source="P = √3 U I pf, the definition of three-phase power",
        caution=CAUTION,
    )
