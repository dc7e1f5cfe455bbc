"""The weight that a carrier charges: the larger of what the scale shows and what the volume counts for."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path

from pydantic import BaseModel, ConfigDict

from traveller.judgement import Figure, Finding, Verdict, measured
from traveller.quantities import show

CAUTION = "Heavy or bulky: lift with two people or a lifting aid, as the workshop's rule says."
NANO = 9


class Charging(BaseModel):
    """What ``weight.toml`` holds: cm³/kg and kg."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    divisor: float
    half: float
    source: str


@cache
def charging() -> Charging:
    """The usual divisor and the step of the charged weight."""
    return Charging.model_validate(tomllib.loads(Path(__file__).with_name("weight.toml").read_text(encoding="utf-8")))


class ChargeableWeight(BaseModel):
    """The packed carton or crate, outside measures."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    length_cm: float = measured("cm", "outside length", above=0, at_most=2000)
    width_cm: float = measured("cm", "outside width", above=0, at_most=2000)
    height_cm: float = measured("cm", "outside height", above=0, at_most=2000)
    weight_kg: float = measured("kg", "weight, packed", above=0, at_most=50_000)
    divisor: float = measured(
        "",
        "the carrier's divisor, cm³ for a kilogram",
        default=charging().divisor,
        at_least=1000,
        at_most=10_000,
    )


def chargeable_weight(given: ChargeableWeight) -> Finding:
    """Chargeable weight: the larger of scale and volume over divisor, up to the next half kilogram.

    Values: volumetric_kg, chargeable_kg (kg). A half kilogram exactly stays as it is. It is a figure for the
    papers, so it passes. Source: carriers' published practice.
    """
    volumetric = given.length_cm * given.width_cm * given.height_cm / given.divisor
    larger = max(volumetric, given.weight_kg)
    half = charging().half
    charged = half * math.ceil(round(larger / half, NANO))
    by = "volume" if volumetric > given.weight_kg else "scale"
    return Finding(
        verdict=Verdict.PASS,
        says=f"{show(charged, 'kg')} is charged, by {by}",
        values=(
            Figure(name="volumetric_kg", value=volumetric, unit="kg"),
            Figure(name="chargeable_kg", value=charged, unit="kg"),
        ),
        limit="none: a figure for the papers",
        working=(
            f"volumetric = {given.length_cm:g} × {given.width_cm:g} × {given.height_cm:g} cm"
            f" / {given.divisor:g} = {show(volumetric, 'kg')}",
            f"larger of {show(volumetric, 'kg')} and {show(given.weight_kg, 'kg')}, up to the next"
            f" {half:g} kg (an exact half stays) = {show(charged, 'kg')}",
        ),
        source=charging().source,
        caution=CAUTION,
    )
