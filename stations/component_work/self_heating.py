"""How much an electrolytic warms itself with its ripple current."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured
from traveller.quantities import show

CAUTION = "An estimate in still air: measure the case at load. Hot and charged: no fingers, no tools, link dead first."
Ripple = Annotated[float, Field(ge=0, le=1e5)]
Weight = Annotated[float, Field(ge=0.01, le=100)]


class Core(BaseModel):
    """How much warmer the core is than the case, up to a diameter."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    diameter_mm_at_most: float
    factor: float


class Figures(BaseModel):
    """What ``self_heating.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    beta_coefficient: float
    beta_exponent: float
    tan_delta_source: str
    core: tuple[Core, ...]


@cache
def published() -> Figures:
    """The figures, from the data file."""
    path = Path(__file__).with_name("self_heating.toml")
    return Figures.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))


class SelfHeating(BaseModel):
    """The ripple currents by frequency, the ESR or what it follows from, and the can."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    ripple: tuple[Ripple, ...] = Field(
        min_length=1,
        max_length=20,
        description="ripple currents, one for each frequency",
        json_schema_extra={"unit": "A"},
    )
    weights: tuple[Weight, ...] = Field(
        default=(), max_length=20, description="frequency factor of each current, from the data sheet"
    )
    surface_cm2: float = measured("", "surface of the can in cm²", at_least=0.01, at_most=1e5)
    diameter_mm: float = measured("mm", "diameter of the can", at_least=1, at_most=1000)
    esr: float | None = measured("Ω", "ESR", default=None, at_least=0, at_most=1e6)
    tan_delta: float | None = measured("", "tan δ, where no ESR is given", default=None, at_least=0, at_most=100)
    frequency: float | None = measured("Hz", "frequency of the tan δ", default=None, at_least=1, at_most=1e7)
    capacitance: float | None = measured("F", "capacitance, with the tan δ", default=None, at_least=1e-12, at_most=1000)


def self_heating(given: SelfHeating) -> Finding:
    """The ripple as one current, the ESR, and how much warmer than the air case and core become.

    Values: ripple_a, esr_ohm, case_rise_k, core_rise_k (left out above the largest published diameter). A diameter
    between two rows takes the warmer one. The finding passes when the estimate is made. Raises InputError when
    neither an ESR nor tan δ, frequency and capacitance are given.

    Source: a maker's note, scribd 510653990; ESR = tan δ / (2π f C) from memory: check before relying on it.
    """
    ripple = _ripple(given)
    esr, esr_line, source = _esr(given)
    beta = published().beta_coefficient * given.surface_cm2 ** published().beta_exponent
    case = ripple**2 * esr / (beta * given.surface_cm2)
    core = next((one for one in published().core if given.diameter_mm <= one.diameter_mm_at_most), None)
    figures = [
        Figure(name="ripple_a", value=ripple, unit="A"),
        Figure(name="esr_ohm", value=esr, unit="Ω"),
        Figure(name="case_rise_k", value=case, unit="K"),
    ]
    core_line = "core: no published factor for so large a can"
    if core:
        figures.append(Figure(name="core_rise_k", value=core.factor * case, unit="K"))
        core_line = f"core: {core.factor:g} × {case:.3g} K = {core.factor * case:.3g} K"
    return Finding(
        verdict=Verdict.PASS,
        says=f"estimate: the case becomes {case:.3g} K warmer than the air",
        values=tuple(figures),
        working=(
            f"I = √Σ(In / kn)² = {show(ripple, 'A')}",
            esr_line,
            f"β = {published().beta_coefficient:g} × {given.surface_cm2:g}^{published().beta_exponent:g} = {beta:.4g}"
            " W/(K·cm²)",
            f"case: I² × ESR / (β × S) = {case:.3g} K",
            core_line,
        ),
        source=source,
        caution=CAUTION,
    )


def _ripple(given: SelfHeating) -> float:
    weights = given.weights or (1.0,) * len(given.ripple)
    if len(weights) != len(given.ripple):
        raise InputError(f"{len(given.ripple)} currents and {len(weights)} factors do not pair: type one for each.")
    return math.hypot(*(amps / weight for amps, weight in zip(given.ripple, weights, strict=True)))


def _esr(given: SelfHeating) -> tuple[float, str, str]:
    if given.esr is not None:
        return given.esr, f"ESR = {show(given.esr, 'Ω')}, as given", published().source
    if given.tan_delta is None or given.frequency is None or given.capacitance is None:
        raise InputError("Neither the ESR nor tan δ with its frequency and the capacitance is there: type one of them.")
    esr = given.tan_delta / (2 * math.pi * given.frequency * given.capacitance)
    line = (
        f"ESR = tan δ / (2π f C) = {given.tan_delta:g} / (2π × {show(given.frequency, 'Hz')}"
        f" × {show(given.capacitance, 'F')}) = {show(esr, 'Ω')}"
    )
    return esr, line, f"{published().source}; {published().tan_delta_source}"
