"""The mean temperature of a winding, by its resistance cold and hot. T2 = (R2 / R1) · (K + T1) − K."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from traveller.judgement import Figure, Finding, Verdict, measured
from traveller.quantities import show

CAUTION = (
    "Off, locked, proved dead and discharged before the meter goes on, and no longer than that: the winding cools as "
    "you measure. It is the mean of the winding; its hottest place is hotter. Burns: let it cool before you touch."
)
REFERENCE = 20
HOTTEST = 1000


class Metal(BaseModel):
    """A metal of windings and its K (K below 0 °C)."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    k: float
    source: str


class Limits(BaseModel):
    """What ``winding.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    metal: tuple[Metal, ...]


@cache
def limits() -> Limits:
    """The metals."""
    return Limits.model_validate(tomllib.loads(Path(__file__).with_name("winding.toml").read_text(encoding="utf-8")))


class WindingTemperature(BaseModel):
    """Resistance of a winding cold and hot, and the air at the end."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    cold_ohms: float = measured("Ω", "resistance cold, four-wire, leads taken off", at_least=1e-9, at_most=1e9)
    cold_c: float = measured("°C", "temperature of the winding then, often the room", at_least=-40, at_most=100)
    hot_ohms: float = measured("Ω", "resistance hot, at once after the load is off", at_least=1e-9, at_most=1e9)
    ambient: float = measured("°C", "air at the end of the run", at_least=-40, at_most=100)
    metal: Literal["copper", "aluminium, K 225", "aluminium, K 228"] = Field(
        default="copper", description="metal of the winding; two figures for aluminium are published"
    )
    allowed_rise: float | None = measured(
        "K", "rise that the maker or the insulation class allows, if known", default=None, above=0, at_most=1000
    )


def winding_temperature(given: WindingTemperature) -> Finding:
    """Mean temperature of a winding and its rise over the air, by the resistance method.

    Values: winding_c (°C), rise_k (K), coefficient_per_k (per K, at 20 °C). Judged against `allowed_rise`, which
    itself passes; without it the value is only recorded. Fails when the winding would be hotter than 1000 °C: then
    one of the resistances is wrong. Source: resistance method of IEC 60034-1.
    """
    metal = next(one for one in limits().metal if one.name == given.metal)
    ratio = given.hot_ohms / given.cold_ohms
    celsius = ratio * (metal.k + given.cold_c) - metal.k
    rise = celsius - given.ambient
    verdict, says = _outcome(given, celsius, rise)
    return Finding(
        verdict=verdict,
        says=says,
        values=(
            Figure(name="winding_c", value=celsius, unit="°C"),
            Figure(name="rise_k", value=rise, unit="K"),
            Figure(name="coefficient_per_k", value=1 / (metal.k + REFERENCE), unit="1/K"),
        ),
        limit="recorded; no limit given" if given.allowed_rise is None else f"rise at most {given.allowed_rise:g} K",
        working=(
            f"T2 = ({show(given.hot_ohms, 'Ω')} / {show(given.cold_ohms, 'Ω')}) × ({metal.k:g} + {given.cold_c:g})"
            f" − {metal.k:g} = {celsius:.5g} °C",
            f"rise = {celsius:.5g} − {given.ambient:g} = {rise:.5g} K",
        ),
        source=f"{limits().source}; {metal.source}",
        caution=CAUTION,
    )


def _outcome(given: WindingTemperature, celsius: float, rise: float) -> tuple[Verdict, str]:
    if celsius > HOTTEST:
        return Verdict.FAIL, f"{celsius:.4g} °C cannot be: measure both resistances again, four-wire"
    words = f"winding at {celsius:.4g} °C in the mean, {rise:.4g} K over the air"
    if given.allowed_rise is None:
        return Verdict.PASS, words
    good = rise <= given.allowed_rise
    verdict = Verdict.PASS if good else Verdict.FAIL
    return verdict, f"{words}, {'not above' if good else 'above'} {given.allowed_rise:g} K"
