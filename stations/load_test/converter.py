"""Mean output of a six-pulse thyristor bridge. Vd = (3√2/π) · U · cos α."""

from __future__ import annotations

import math

from pydantic import BaseModel, ConfigDict

from traveller.judgement import COMMON_PRACTICE, Figure, Finding, Verdict, measured
from traveller.quantities import show

CAUTION = (
    "An estimate is never a proof: measure. The armature is at full voltage and the field keeps it turning; "
    "never open the field under way."
)


class ConverterOutput(BaseModel):
    """The supply, the firing angle, and what was measured at the armature terminals."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    line_volts: float = measured("V", "supply volts, line to line", above=0, at_most=1e5)
    angle: float = measured("°", "firing angle, 0 to 180", at_least=0, at_most=180)
    measured_volts: float | None = measured(
        "V", "mean volts at the armature terminals", default=None, at_least=-2e5, at_most=2e5
    )
    allowed: float = measured("%", "allowed departure, of the full output", default=5.0, above=0, at_most=100)


def converter_output(given: ConverterOutput) -> Finding:
    """The mean volts to expect; with a measured value, whether it lies within the allowed departure.

    Values: output_v (V; negative when it feeds back), and departure_percent (% of the output at 0°) with a
    measured value. Continuous current, no overlap: overlap lowers the volts. The allowed departure is common
    practice and itself passes.
    """
    full = 3 * math.sqrt(2) / math.pi * given.line_volts
    volts = full * math.cos(math.radians(given.angle))
    values: tuple[Figure, ...] = (Figure(name="output_v", value=volts, unit="V"),)
    working: tuple[str, ...] = (
        f"Vd = (3√2/π) × {show(given.line_volts, 'V')} × cos {given.angle:g}° = {show(volts, 'V')}",
        "continuous current, no overlap",
    )
    good = True
    says = f"{show(volts, 'V')} is to be expected"
    if given.measured_volts is not None:
        gone = 100 * abs(given.measured_volts - volts) / full
        good = gone <= given.allowed
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
        source=f"six-pulse bridge, textbook formula; the allowed departure is {COMMON_PRACTICE}",
        caution=CAUTION,
    )
