"""Reforming of electrolytic capacitors that were long without power.

The oxide in an electrolytic thins out without voltage; the full supply at once can make it vent. Makers
publish different recipes: the one that was used is named in the finding. They stand in ``reforming.toml``.
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
    "The unit's own manual comes first. No load and no enable while reforming; current-limited source, "
    "guard and eye protection: a capacitor can vent. Bulged, leaking or vented capacitors are replaced, "
    "never reformed. Afterwards discharge, wait and measure again."
)


class Row(BaseModel):
    """What one recipe asks after a span of months; no steps means that nothing is needed."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    from_: float = Field(0.0, alias="from")
    above: float = -math.inf
    to: float = math.inf
    below: float = math.inf
    class_: str = Field(alias="class")
    feed: Literal["", "AC", "DC bus", "DC"] = ""
    steps: tuple[float, ...] = ()
    minutes_each: float = 0.0
    series_ohms: float | None = None

    def holds(self, months: float) -> bool:
        return self.from_ <= months <= self.to and self.above < months < self.below

    @property
    def hours(self) -> float:
        return len(self.steps) * self.minutes_each / 60


class Recipe(BaseModel):
    """A published way to reform, with the place where it was published."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    source: str
    row: tuple[Row, ...]

    def row_for(self, months: float) -> Row:
        """Where the wording of two rows overlaps, the stricter one: more hours."""
        return max((row for row in self.row if row.holds(months)), key=lambda row: row.hours)


@cache
def recipes() -> dict[str, Recipe]:
    """The published recipes by name."""
    data = tomllib.loads(Path(__file__).with_name("reforming.toml").read_text(encoding="utf-8"))
    return {recipe.name: recipe for recipe in map(Recipe.model_validate, data["recipe"])}


class Reforming(BaseModel):
    """How long the unit was without power, its rated supply, and the recipe to follow."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    months_without_power: float = measured("", "months since it last had power", at_least=0, at_most=1200)
    rated_voltage: float = measured(
        "V", "rated supply voltage, AC; of a single capacitor its own, DC", above=0, at_most=100_000
    )
    recipe: Literal["quarter steps on the supply", "three steps on the DC bus", "single capacitor, out of circuit"] = (
        Field(default="quarter steps on the supply", description="recipe to follow when the manual gives none")
    )


def reforming(given: Reforming) -> Finding:
    """The class of storage, the voltage steps and the hours that the chosen recipe asks for.

    Values: class (words), steps (V, one after the other, or "none"), hours (h, all steps together). The
    finding passes when the plan is made; that it was carried out is proved at the load test. A single
    capacitor adds current (A) and power (W) of its series resistor at switch-on. Source: the recipe's.
    """
    recipe = recipes()[given.recipe]
    row = recipe.row_for(given.months_without_power)
    full = math.sqrt(2) * given.rated_voltage if row.feed == "DC bus" else given.rated_voltage
    steps = "/".join(f"{share * full:.4g}" for share in row.steps) or "none"
    months = f"{given.months_without_power:g} months"
    return Finding(
        verdict=Verdict.PASS,
        says=_says(months, row, steps),
        values=(
            Figure(name="class", value=row.class_),
            Figure(name="steps", value=steps, unit="V" if row.steps else ""),
            Figure(name="hours", value=row.hours, unit="h"),
            *_at_switch_on(row, given.rated_voltage),
        ),
        limit=f"recipe: {recipe.name}",
        working=(
            f"{months} without power: {row.class_} (where two rows hold, the one with more hours)",
            *_step_lines(row, given.rated_voltage, full),
            f"{len(row.steps)} steps × {row.minutes_each:g} min = {row.hours:g} h",
        ),
        source=recipe.source,
        caution=CAUTION,
    )


def _says(months: str, row: Row, steps: str) -> str:
    if not row.steps:
        return f"{months} without power: no reforming is asked for"
    pace = f"{row.minutes_each:g} min each, {row.hours:g} h in all"
    return f"{months} without power: reform at {steps} V {row.feed}, {pace}"


def _step_lines(row: Row, rated: float, full: float) -> tuple[str, ...]:
    if not row.steps:
        return ()
    steps = ", ".join(f"{share:.0%} = {show(share * full, 'V')}" for share in row.steps)
    if row.feed == "DC bus":
        return (
            f"rectified peak = √2 × {show(rated, 'V')} = {show(full, 'V')} DC",
            f"steps on the DC bus: {steps}",
        )
    if row.series_ohms is not None:
        resistor = show(row.series_ohms, "Ω")
        current, power = (show(float(figure.value), figure.unit) for figure in _at_switch_on(row, rated))
        return (f"at switch-on through {resistor}: I = U / R = {current}, P = U² / R = {power} in the resistor",)
    return (f"steps on the supply: {steps}",)


def _at_switch_on(row: Row, rated: float) -> tuple[Figure, ...]:
    """What the series resistor of a single capacitor has to carry while the capacitor is still empty."""
    if row.series_ohms is None:
        return ()
    return (
        Figure(name="current", value=rated / row.series_ohms, unit="A"),
        Figure(name="power", value=rated**2 / row.series_ohms, unit="W"),
    )
