"""The resistor that brings a DC link to a safe voltage in a wanted time.

v(t) = V0 · e^(−t/RC) turned round: R = t / (C · ln(V0/Vs)). At the first moment it carries V0² / R, and the whole
energy ½CV0² goes into it: switched in for one discharge, the pulse rating (J) governs; left in as a bleeder, the
continuous rating (W).
"""

from __future__ import annotations

import math

from pydantic import BaseModel, ConfigDict

from traveller.judgement import Figure, Finding, Verdict, measured
from traveller.quantities import show

from .discharge import CAUTION, limits


class DischargeResistor(BaseModel):
    """The link, the voltage at the start, and the time in which it has to be safe."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    capacitance: float = measured("F", "capacitance of the DC link", at_least=1e-12, at_most=1000)
    voltage: float = measured("V", "voltage at the start", at_least=0, at_most=1e6)
    seconds: float = measured("s", "time in which it has to be discharged", at_least=1e-6, at_most=1e6)
    safe_voltage: float = measured(
        "V", "voltage that counts as safe", default=limits().usual.voltage, at_least=0.001, at_most=1000
    )


def discharge_resistor(given: DischargeResistor) -> Finding:
    """The largest resistance that discharges the link in time, and what it has to stand.

    Values: resistance_ohm (largest), peak_power_w and peak_current_a (at the first moment), energy_j. A link that
    is not above the safe voltage needs none: then only energy_j. The finding passes when the figures are made.

    Source: R = t / (C · ln(V0 / Vs)) from v(t) = V0 · e^(−t/RC); IEC 60204-1 6.2.4 for the 60 V.
    """
    energy = Figure(name="energy_j", value=given.capacitance * given.voltage**2 / 2, unit="J")
    start, safe = show(given.voltage, "V"), show(given.safe_voltage, "V")
    if given.voltage <= given.safe_voltage:
        return _finding(given, f"{start} is not above {safe}: no resistor is needed", (energy,), ())
    ohms = given.seconds / (given.capacitance * math.log(given.voltage / given.safe_voltage))
    watts, amps = given.voltage**2 / ohms, given.voltage / ohms
    return _finding(
        given,
        f"at most {show(ohms, 'Ω')}; it takes {show(watts, 'W')} at first and {show(float(energy.value), 'J')} in all",
        (
            Figure(name="resistance_ohm", value=ohms, unit="Ω"),
            Figure(name="peak_power_w", value=watts, unit="W"),
            energy,
            Figure(name="peak_current_a", value=amps, unit="A"),
        ),
        (
            f"R = t / (C × ln(V0 / Vs)) = {show(given.seconds, 's')} / ({show(given.capacitance, 'F')}"
            f" × ln({start} / {safe})) = {show(ohms, 'Ω')}",
            f"P0 = V0² / R = {show(watts, 'W')}, I0 = V0 / R = {show(amps, 'A')}",
            "switched in: its pulse rating in J must hold E; left in as a bleeder: its rating in W must hold P0",
        ),
    )


def _finding(given: DischargeResistor, says: str, values: tuple[Figure, ...], working: tuple[str, ...]) -> Finding:
    energy = show(given.capacitance * given.voltage**2 / 2, "J")
    return Finding(
        verdict=Verdict.PASS,
        says=says,
        values=values,
        limit=f"{show(given.safe_voltage, 'V')} within {show(given.seconds, 's')}",
        working=(*working, f"E = ½ × C × V0² = {energy}"),
        source=limits().usual.source,
        caution=f"The resistor gets hot and stands at full voltage: guard it. {CAUTION}",
    )
