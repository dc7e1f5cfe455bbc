"""How long a DC link takes to fall to a safe voltage: from its parts, or from two readings.

v(t) = V0 · e^(−t/RC), so t = RC · ln(V0/Vs), E = ½CV0², Q = CV0. Both are estimates: a bleeder can be open,
links can be coupled, and something can still feed them.
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
    "An estimate is never a proof: measure DC+ to DC−, DC+ to earth and DC− to earth with a meter proved "
    "before and after. The bleeder may be the fault; series capacitors and coupled links each hold their "
    "own charge; a turning motor, a battery or a 24 V feed keeps the link alive. Never short it with a "
    "tool, and measure again after a while: electrolytics recover some voltage."
)


class Harm(BaseModel):
    """One way in which a charged capacitor hurts, with the volts and joules from which it does."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    words: str
    source: str
    volts_at_least: float = 0.0
    volts_below: float = math.inf
    joules_at_least: float = 0.0
    joules_above: float = -math.inf

    def holds(self, volts: float, joules: float) -> bool:
        return (
            self.volts_at_least <= volts < self.volts_below
            and joules >= self.joules_at_least
            and joules > self.joules_above
        )


class Residual(BaseModel):
    """The residual voltage of a standard (V), the time it allows (s) and the charge it exempts (C)."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    voltage: float
    within: float
    charge: float
    source: str


class Limits(BaseModel):
    """What ``discharge.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    residual: tuple[Residual, ...]
    harm: tuple[Harm, ...]

    def of(self, standard: str) -> Residual:
        return next(one for one in self.residual if one.name == standard)

    @property
    def usual(self) -> Residual:
        """The first of the file: what a judge takes when nobody chooses."""
        return self.residual[0]


@cache
def limits() -> Limits:
    """The residual voltage and the classes of harm, from the data file."""
    return Limits.model_validate(tomllib.loads(Path(__file__).with_name("discharge.toml").read_text(encoding="utf-8")))


class Discharge(BaseModel):
    """The capacitance, what discharges it, and the voltage at the moment the supply goes off."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    capacitance: float = measured("F", "capacitance of the DC link", above=0, at_most=1000)
    resistance: float = measured("Ω", "resistance that discharges it", above=0, at_most=1e12)
    voltage: float = measured("V", "voltage at the start", at_least=0, at_most=1e6)
    safe_voltage: float = measured(
        "V", "voltage that counts as safe", default=limits().usual.voltage, at_least=0.001, at_most=1000
    )
    standard: Literal["IEC 60204-1", "IEC 61800-5-1", "IEC 61010-1"] = Field(
        default="IEC 60204-1", description="whose charge counts as too small to wait for: 60, 50 or 45 µC"
    )


def discharge(given: Discharge) -> Finding:
    """Time for the link to fall from `voltage` to `safe_voltage`, and what it holds at the start.

    Values: tau_s (s), time_s (s; 0 if already below), energy_j (J), charge_c (C), charge_exempt (yes or no; a
    charge exactly at the limit is exempt). The finding passes when the estimate is made; only a reading proves
    the link dead.

    Source: v(t) = V0 · e^(−t/RC); IEC 60204-1 6.2.4 for 60 V, 5 s and 60 µC.
    """
    tau = given.resistance * given.capacitance
    time = _time_to_fall(tau, given.voltage, given.safe_voltage)
    energy = given.capacitance * given.voltage**2 / 2
    charge = given.capacitance * given.voltage
    residual = limits().of(given.standard)
    start, safe = show(given.voltage, "V"), show(given.safe_voltage, "V")
    waiting, no_wait = show(time, "s"), show(residual.charge, "C")
    exempt = charge <= residual.charge or math.isclose(charge, residual.charge, rel_tol=1e-9)
    return Finding(
        verdict=Verdict.PASS,
        says=f"estimate: {start} falls to {safe} in {waiting}" if time else f"{start} is not above {safe}",
        values=(
            Figure(name="tau_s", value=tau, unit="s"),
            Figure(name="time_s", value=time, unit="s"),
            Figure(name="energy_j", value=energy, unit="J"),
            Figure(name="charge_c", value=charge, unit="C"),
            Figure(name="charge_exempt", value="yes" if exempt else "no"),
        ),
        limit=f"{show(residual.voltage, 'V')} within {show(residual.within, 's')}, or at most {no_wait}",
        working=(
            f"τ = R × C = {show(given.resistance, 'Ω')} × {show(given.capacitance, 'F')} = {show(tau, 's')}",
            f"t = τ × ln(V0 / Vs) = {show(tau, 's')} × ln({start} / {safe}) = {waiting}, never below 0",
            f"E = ½ × C × V0² = {show(energy, 'J')}",
            f"Q = C × V0 = {show(charge, 'C')}: {'within' if exempt else 'above'} the {no_wait} that needs no wait",
        ),
        source=residual.source,
        caution=" ".join((*_harms(given.voltage, energy), CAUTION)),
    )


def _time_to_fall(tau: float, volts: float, safe: float) -> float:
    return tau * math.log(volts / safe) if volts > safe else 0.0


def _harms(volts: float, joules: float) -> tuple[str, ...]:
    return tuple(
        f"{show(joules, 'J')} at {show(volts, 'V')} {harm.words} ({harm.source})."
        for harm in limits().harm
        if harm.holds(volts, joules)
    )


class DischargeFromReadings(BaseModel):
    """Two readings of the same link, and the time between them."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    first: float = measured("V", "first reading", at_least=0, at_most=1e6)
    second: float = measured("V", "second reading", at_least=0, at_most=1e6)
    seconds_between: float = measured("s", "time between the readings", above=0, at_most=1e6)
    safe_voltage: float = measured(
        "V", "voltage that counts as safe", default=limits().usual.voltage, at_least=0.001, at_most=1000
    )


def discharge_from_readings(given: DischargeFromReadings) -> Finding:
    """Time still to wait after the second reading, from how fast the volts fell.

    Values: tau_s and time_s (s), counted from the second reading. Fails, without values, if the volts are
    above the safe voltage and do not fall: then something feeds the link or nothing discharges it.

    Source: v(t) = V0 · e^(−t/RC), read twice; IEC 60204-1 6.2.4 for the 60 V.
    """
    second, safe = show(given.second, "V"), show(given.safe_voltage, "V")
    if given.second >= given.first and given.second > given.safe_voltage:
        return _does_not_fall(given)
    tau = _time_constant(given)
    time = _time_to_fall(tau, given.second, given.safe_voltage)
    return Finding(
        verdict=Verdict.PASS,
        says=f"estimate: {safe} is reached {show(time, 's')} after the second reading"
        if time
        else f"the second reading, {second}, is not above {safe}",
        values=(Figure(name="tau_s", value=tau, unit="s"), Figure(name="time_s", value=time, unit="s")),
        limit=f"at most {safe}",
        working=(
            f"τ = t / ln(V1 / V2) = {show(given.seconds_between, 's')}"
            f" / ln({show(given.first, 'V')} / {second}) = {show(tau, 's')}",
            f"still to wait = τ × ln(V2 / Vs) = {show(time, 's')} (0 if V2 is not above Vs)",
        ),
        source=limits().usual.source,
        caution=CAUTION,
    )


def _time_constant(given: DischargeFromReadings) -> float:
    """In seconds; 0 when nothing is left at the second reading, inf when nothing fell."""
    if given.second == 0:
        return 0.0
    if given.second >= given.first:
        return math.inf
    return given.seconds_between / math.log1p((given.first - given.second) / given.second)


def _does_not_fall(given: DischargeFromReadings) -> Finding:
    return Finding(
        verdict=Verdict.FAIL,
        says="the volts do not fall: something feeds the link, or nothing discharges it. Stay out",
        limit=f"at most {show(given.safe_voltage, 'V')}",
        working=(
            f"second reading {show(given.second, 'V')} is not below the first, {show(given.first, 'V')}: "
            "no time can be worked out",
        ),
        source=limits().usual.source,
        caution=CAUTION,
    )
