"""Reforming of electrolytic capacitors that were long without power.

The oxide in an electrolytic thins out without voltage; the full supply at once can make it vent. Makers
publish different recipes: the one that was used is named in the finding. They stand in ``reforming.toml``.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
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
    steps: tuple[tuple[float, float], ...] = ()

    def holds(self, months: float) -> bool:
        return self.from_ <= months <= self.to and self.above < months < self.below

    @property
    def hours(self) -> float:
        return sum(minutes for _share, minutes in self.steps) / 60


class SeriesResistor(BaseModel):
    """The resistor (Ω) between the source and a single capacitor, up to a rated voltage (V)."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    ohms: float
    volts_at_most: float = math.inf


class Recipe(BaseModel):
    """A published way to reform, with the place where it was published.

    For a single capacitor: its series resistor, the largest current (A) and the discharge afterwards (Ω/V).
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    source: str
    row: tuple[Row, ...]
    resistor: tuple[SeriesResistor, ...] = ()
    amps_at_most: float = math.inf
    discharge_ohms_per_volt: float | None = None

    def row_for(self, months: float) -> Row:
        """Where the wording of two rows overlaps, the stricter one: more hours."""
        return max((row for row in self.row if row.holds(months)), key=lambda row: row.hours)

    def ohms_for(self, volts: float) -> float | None:
        """The series resistor; exactly on the edge of two ranges the lower range."""
        return next((one.ohms for one in self.resistor if volts <= one.volts_at_most), None)


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
    recipe: Literal["Siemens SED2", "Rockwell bulletin", "shelf life article", "Chemi-Con", "EIA-815", "CDE 1993"] = (
        Field(
            default="Siemens SED2",
            description="recipe to follow when the manual gives none; the last three are for one capacitor, taken out",
        )
    )


def reforming(given: Reforming) -> Finding:
    """The class of storage, the voltage steps and the hours that the chosen recipe asks for.

    Values: class (words), steps (volts and minutes, one after the other, or "none"), hours (h, all steps
    together). A recipe for a single capacitor adds series_resistance_ohm, peak_power_w and peak_current_a of
    its resistor at switch-on, and discharge_resistance_ohm and discharge_power_w for afterwards where the
    recipe names it. The finding passes when the plan is made; that it was carried out is proved at the load
    test. Where two rows of a recipe hold, the stricter one is taken.

    Source: the chosen recipe's: Siemens SED2 page 13, a Rockwell bulletin, Chemi-Con FAQ, EIA-815, CDE 1993;
    the unit's own manual comes first.
    """
    recipe = recipes()[given.recipe]
    row = recipe.row_for(given.months_without_power)
    full = math.sqrt(2) * given.rated_voltage if row.feed == "DC bus" else given.rated_voltage
    steps = "; ".join(f"{share * full:.4g} V {minutes:g} min" for share, minutes in row.steps) or "none"
    months = f"{given.months_without_power:g} months"
    return Finding(
        verdict=Verdict.PASS,
        says=_says(months, row, steps),
        values=(
            Figure(name="class", value=row.class_),
            Figure(name="steps", value=steps),
            Figure(name="hours", value=row.hours, unit="h"),
            *_at_switch_on(recipe, given.rated_voltage),
            *_afterwards(recipe, given.rated_voltage),
        ),
        limit=f"recipe: {recipe.name}",
        working=(
            f"{months} without power: {row.class_} (where two rows hold, the one with more hours)",
            *_step_lines(row, given.rated_voltage, full),
            *_resistor_lines(recipe, given.rated_voltage),
            f"{' + '.join(f'{minutes:g}' for _share, minutes in row.steps) or '0'} min = {row.hours:g} h",
        ),
        source=recipe.source,
        caution=CAUTION,
    )


def _says(months: str, row: Row, steps: str) -> str:
    if not row.steps:
        return f"{months} without power: no reforming is asked for"
    return f"{months} without power: reform with {row.feed}, {steps}; {row.hours:g} h in all"


def _step_lines(row: Row, rated: float, full: float) -> tuple[str, ...]:
    if not row.steps:
        return ()
    steps = ", ".join(f"{share:.0%} = {show(share * full, 'V')}" for share, _minutes in row.steps)
    if row.feed == "DC bus":
        return (
            f"rectified peak = √2 × {show(rated, 'V')} = {show(full, 'V')} DC",
            f"steps on the DC bus: {steps}",
        )
    return (f"steps on the {'supply' if row.feed == 'AC' else 'capacitor'}: {steps}",)


def _at_switch_on(recipe: Recipe, volts: float) -> tuple[Figure, ...]:
    """What the series resistor of a single capacitor has to carry while the capacitor is still empty."""
    ohms = recipe.ohms_for(volts)
    if ohms is None:
        return ()
    return (
        Figure(name="series_resistance_ohm", value=ohms, unit="Ω"),
        Figure(name="peak_power_w", value=volts**2 / ohms, unit="W"),
        Figure(name="peak_current_a", value=volts / ohms, unit="A"),
    )


def _afterwards(recipe: Recipe, volts: float) -> tuple[Figure, ...]:
    if recipe.discharge_ohms_per_volt is None:
        return ()
    ohms = recipe.discharge_ohms_per_volt * volts
    return (
        Figure(name="discharge_resistance_ohm", value=ohms, unit="Ω"),
        Figure(name="discharge_power_w", value=volts**2 / ohms, unit="W"),
    )


def _resistor_lines(recipe: Recipe, volts: float) -> Iterator[str]:
    ohms = recipe.ohms_for(volts)
    if ohms is None:
        return
    amps = volts / ohms
    power = show(volts**2 / ohms, "W")
    yield f"at switch-on through {show(ohms, 'Ω')}: I = U / R = {show(amps, 'A')}, P = U² / R = {power} in the resistor"
    if amps > recipe.amps_at_most:
        yield f"{show(amps, 'A')} is above {show(recipe.amps_at_most, 'A')}: do not switch it on, raise it slowly"
    if after := _afterwards(recipe, volts):
        ohms_after, watts = (show(float(one.value), one.unit) for one in after)
        yield f"afterwards discharge through {ohms_after}: P = U² / R = {watts} at first"
