"""The health of an electrolytic capacitor: capacitance and ESR against new, leakage against its limit."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured, worst
from traveller.quantities import show

from .leakage import leakage_limit, leakage_rules

CAUTION = (
    "Discharge it and measure that it is empty before you touch it or connect the meter. Bulged, leaking "
    "or vented: replace it whatever the figures say."
)


class Criterion(BaseModel):
    """How far capacitance and ESR may move from new before the capacitor counts as worn out."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    drop_percent: float
    rise_percent: float = math.inf
    esr_times: float
    source: str

    @property
    def change_in_words(self) -> str:
        low = f"not below −{self.drop_percent:g} %"
        return low if math.isinf(self.rise_percent) else f"{low}, not above +{self.rise_percent:g} %"


@cache
def criteria() -> dict[str, Criterion]:
    """The published criteria by name."""
    data = tomllib.loads(Path(__file__).with_name("capacitors.toml").read_text(encoding="utf-8"))
    return {one.name: one for one in map(Criterion.model_validate, data["criterion"])}


class CapacitorHealth(BaseModel):
    """What was measured, what it was or should be when new, and the criterion to judge by."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    capacitance: float = measured("F", "capacitance measured", at_least=0, at_most=1000)
    esr: float = measured("Ω", "ESR measured", at_least=0, at_most=1e9)
    new_capacitance: float = measured("F", "capacitance when new", at_least=1e-15, at_most=1000)
    new_esr: float = measured("Ω", "ESR when new, same frequency", at_least=1e-9, at_most=1e9)
    leakage: float | None = measured("A", "leakage current at rated voltage", default=None, at_least=0, at_most=1000)
    sense_volts: float | None = measured(
        "V", "in place of the leakage: volts across the resistor in series", default=None, at_least=0, at_most=1e5
    )
    sense_resistance: float | None = measured(
        "Ω", "the resistor in series that they were read across", default=None, at_least=1e-3, at_most=1e9
    )
    rated_voltage: float | None = measured("V", "rated voltage", default=None, at_least=0.1, at_most=1e5)
    criterion: Literal["20 % and 2 times", "20 % either way and 3 times", "30 % and 3 times"] = Field(
        default="20 % and 2 times", description="how much loss counts as worn out"
    )
    leakage_rule: Literal["by rated voltage", "0.01CV or 3 µA", "0.03CV or 4 µA", "0.06CV + 10 µA", "JAN-C-62"] = Field(
        default="by rated voltage", description="published limit of the leakage"
    )

    @model_validator(mode="after")
    def _one_way_to_the_leakage(self) -> Self:
        if (self.sense_volts is None) != (self.sense_resistance is None):
            raise ValueError("give the volts across the resistor in series and its ohms, both")
        if self.sense_volts is not None and self.leakage is not None:
            raise ValueError("give either the leakage or the volts across a resistor in series")
        return self

    @property
    def leaks(self) -> float | None:
        """Amperes of leakage: as read, or by Ohm from the volts across the resistor in series."""
        if self.sense_volts is None or self.sense_resistance is None:
            return self.leakage
        return self.sense_volts / self.sense_resistance


def capacitor_health(given: CapacitorHealth) -> Finding:
    """Change of the capacitance, ratio of the ESR and, where it is known, the leakage, each against its limit.

    Values: capacitance_change (% of new, negative is a loss), esr_ratio (ESR over new ESR), with a rated voltage
    leakage_limit_a (A, from the new capacitance), with a leakage leakage_a (A). An edge still passes. Fails when one
    of them fails. Raises InputError for a leakage without a rated voltage.

    Source: the chosen criterion's and rule's: common practice, Vishay 158 PUL-SI, IEC 60384; Panasonic, JAN-C-62.
    """
    criterion = criteria()[given.criterion]
    change = 100 * (given.capacitance - given.new_capacitance) / given.new_capacitance
    ratio = given.esr / given.new_esr
    allowed = _leakage_allowed(given)
    verdicts = {
        "capacitance": _within(change, -criterion.drop_percent, criterion.rise_percent),
        "ESR": _within(ratio, 0, criterion.esr_times),
    }
    if allowed is not None and given.leaks is not None:
        verdicts["leakage"] = _within(given.leaks, 0, allowed)
    failing = [name for name, verdict in verdicts.items() if verdict is Verdict.FAIL]
    leak = "" if allowed is None else f"; leakage at most {show(allowed, 'A')}"
    return Finding(
        verdict=worst(verdicts.values()),
        says=f"capacitance {change:+.3g} %, ESR {ratio:.3g} times new"
        + (f": worn out by {' and '.join(failing)}" if failing else ""),
        values=(
            Figure(name="capacitance_change", value=change, unit="%"),
            Figure(name="esr_ratio", value=ratio),
            *(() if allowed is None else (Figure(name="leakage_limit_a", value=allowed, unit="A"),)),
            *(() if given.leaks is None else (Figure(name="leakage_a", value=given.leaks, unit="A"),)),
        ),
        limit=f"capacitance {criterion.change_in_words}; ESR at most {criterion.esr_times:g} times new{leak}",
        working=(
            f"change = 100 × ({show(given.capacitance, 'F')} − {show(given.new_capacitance, 'F')})"
            f" / {show(given.new_capacitance, 'F')} = {change:+.3g} %",
            f"ratio = {show(given.esr, 'Ω')} / {show(given.new_esr, 'Ω')} = {ratio:.3g}",
            f"criterion: {criterion.name}, its edge still passes",
            *(() if allowed is None else _leakage_lines(given, allowed)),
        ),
        source=criterion.source
        if allowed is None
        else f"{criterion.source}; {leakage_rules()[given.leakage_rule].source}",
        caution=CAUTION,
    )


def _leakage_allowed(given: CapacitorHealth) -> float | None:
    if given.rated_voltage is not None:
        return leakage_limit(given.leakage_rule, given.new_capacitance, given.rated_voltage)
    if given.leaks is not None:
        raise InputError("The limit of the leakage follows from the rated voltage: type that too.")
    return None


def _leakage_lines(given: CapacitorHealth, allowed: float) -> tuple[str, ...]:
    of = f"{show(given.new_capacitance, 'F')} and {show(given.rated_voltage or 0, 'V')}"
    measured_now = "not measured" if given.leaks is None else f"{show(given.leaks, 'A')} measured"
    line = f"leakage rule {given.leakage_rule}: {of} allow {show(allowed, 'A')}, {measured_now}"
    if given.sense_volts is None or given.sense_resistance is None:
        return (line,)
    across = f"{show(given.sense_volts, 'V')} / {show(given.sense_resistance, 'Ω')}"
    return (f"leakage = {across} = {show(given.sense_volts / given.sense_resistance, 'A')}", line)


def _within(value: float, low: float, high: float) -> Verdict:
    """Both edges pass, whatever the last binary digit of the quotient says."""
    on_edge = any(math.isclose(value, edge, rel_tol=1e-9) for edge in (low, high))
    return Verdict.PASS if on_edge or low <= value <= high else Verdict.FAIL
