"""The health of an electrolytic capacitor: capacitance and ESR against new."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from traveller.judgement import Figure, Finding, Verdict, measured, worst
from traveller.quantities import show

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
    criterion: Literal["20 % and 2 times", "20 % either way and 3 times", "30 % and 3 times"] = Field(
        default="20 % and 2 times", description="how much loss counts as worn out"
    )


def capacitor_health(given: CapacitorHealth) -> Finding:
    """Change of the capacitance and ratio of the ESR, each against the chosen criterion; its edge still
    passes.

    Values: change (% of new, negative is a loss), ratio (ESR over new ESR). Fails when one of them fails.
    Source: the criterion's.
    """
    criterion = criteria()[given.criterion]
    change = 100 * (given.capacitance - given.new_capacitance) / given.new_capacitance
    ratio = given.esr / given.new_esr
    verdicts = {
        "capacitance": _within(change, -criterion.drop_percent, criterion.rise_percent),
        "ESR": _within(ratio, 0, criterion.esr_times),
    }
    failing = [name for name, verdict in verdicts.items() if verdict is Verdict.FAIL]
    return Finding(
        verdict=worst(verdicts.values()),
        says=f"capacitance {change:+.3g} %, ESR {ratio:.3g} times new"
        + (f": worn out by {' and '.join(failing)}" if failing else ""),
        values=(Figure(name="change", value=change, unit="%"), Figure(name="ratio", value=ratio)),
        limit=f"capacitance {criterion.change_in_words}; ESR at most {criterion.esr_times:g} times new",
        working=(
            f"change = 100 × ({show(given.capacitance, 'F')} − {show(given.new_capacitance, 'F')})"
            f" / {show(given.new_capacitance, 'F')} = {change:+.3g} %",
            f"ratio = {show(given.esr, 'Ω')} / {show(given.new_esr, 'Ω')} = {ratio:.3g}",
            f"criterion: {criterion.name}, its edge still passes",
        ),
        source=criterion.source,
        caution=CAUTION,
    )


def _within(value: float, low: float, high: float) -> Verdict:
    """Both edges pass, whatever the last binary digit of the quotient says."""
    on_edge = any(math.isclose(value, edge, rel_tol=1e-9) for edge in (low, high))
    return Verdict.PASS if on_edge or low <= value <= high else Verdict.FAIL
