"""How long an aluminium electrolytic lasts where it sits: four published forms that disagree.

Every one is an estimate of a maker for its own types, so the form is chosen and named. No estimate is shown beyond
fifteen years, and none with more than three figures; the hours are given as the form works them out.
"""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured
from traveller.quantities import show

CAUTION = (
    "An estimate of wear-out for one part, never a promise: makers disagree by factors. Measure capacitance and "
    "ESR, look for bulges and leaks, and discharge before you touch."
)
TEN_DEGREE = "ten-degree rule"
MULTIPLICATIVE = "temperature, ripple and voltage factors"
CORE = "core-temperature form"
VOLTAGE_AND_CORE = "voltage factor and core temperature"


class Multiplicative(BaseModel):
    """The figures of the multiplicative form."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    ripple_base: float
    ripple_base_over: float
    over_type_celsius: float
    voltage_exponent: float
    voltage_flat_below: float
    voltage_flat_factor: float
    conflict: str


class TenDegree(BaseModel):
    """The ten-degree rule has no figures but its name."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str


class CoreTemperature(BaseModel):
    """Below how many kelvin of core rise the form holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    kelvin_below: float


class VoltageAndCore(BaseModel):
    """The line of the voltage factor."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    offset: float
    slope: float


class Forms(BaseModel):
    """What ``capacitor_life.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    years_shown: float
    years_source: str
    lowest_celsius: float
    hours_a_year: float
    ten_degree: TenDegree
    multiplicative: Multiplicative
    core_temperature: CoreTemperature
    voltage_and_core: VoltageAndCore


@cache
def forms() -> Forms:
    """The published forms, from the data file."""
    path = Path(__file__).with_name("capacitor_life.toml")
    return Forms.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))


class CapacitorLife(BaseModel):
    """The rated life, the temperature it lives at and, where the form asks, its voltage and ripple."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    rated_life_h: float = measured("h", "life on the data sheet", at_least=1, at_most=1e6)
    rated_temperature: float = measured("°C", "temperature of the rated life", at_least=40, at_most=200)
    temperature: float = measured(
        "°C", "temperature around it; with a core form, of its case or core", at_least=-60, at_most=250
    )
    rated_voltage: float | None = measured("V", "rated voltage", default=None, at_least=0.1, at_most=1e5)
    voltage: float | None = measured("V", "voltage it works at", default=None, at_least=0, at_most=1e5)
    ripple_ratio: float | None = measured("", "ripple current over rated ripple", default=None, at_least=0, at_most=10)
    core_rise: float | None = measured("K", "core rise at the rated ripple", default=None, at_least=0, at_most=39)
    voltage_exponent: float | None = measured(
        "", "exponent n of the voltage factor, where the maker gives one", default=None, at_least=0, at_most=12
    )
    model: Literal[
        "ten-degree rule",
        "temperature, ripple and voltage factors",
        "core-temperature form",
        "voltage factor and core temperature",
    ] = Field(default="ten-degree rule", description="published form of the estimate")


Factors = Mapping[str, float]


def capacitor_life(given: CapacitorLife) -> Finding:
    """Hours until it is worn out, by the chosen published form.

    Values: life_h (as the form gives it), life_years (at most 15, three figures), and each factor:
    temperature_factor, ripple_factor, voltage_factor where the form has them. The finding passes when the estimate
    is made; a part above its rated temperature or voltage fails, without hours; one above its rated ripple is
    undecided. Raises InputError for figures that the form needs and that are missing.

    Source: ten-degree rule of TDK-Lambda and Cosel; forms as published for Jianghai, Rubycon and, from memory, CDE;
    15 years after Nichicon.
    """
    if over := _over_rating(given):
        return _finding(given, Verdict.FAIL, over)
    factors, source, lines = FORMS[given.model](given)
    hours = given.rated_life_h * math.prod(factors.values())
    years = hours / forms().hours_a_year
    shown = min(years, forms().years_shown)
    beyond = years > forms().years_shown
    product = " × ".join(f"{value:.4g}" for value in factors.values())
    verdict = Verdict.UNDECIDED if (given.ripple_ratio or 0) > 1 else Verdict.PASS
    says = f"estimate: {'more than ' if beyond else ''}{_three(shown)} years"
    if verdict is Verdict.UNDECIDED:
        says += "; the ripple is above the rated one, so the maker has to be asked"
    return _finding(
        given,
        verdict,
        says,
        (
            Figure(name="life_h", value=hours, unit="h"),
            Figure(name="life_years", value=float(_three(shown))),
            *(Figure(name=name, value=value) for name, value in factors.items()),
        ),
        (
            *lines,
            f"L = {given.rated_life_h:g} h × {product} = {_three(min(hours, shown * forms().hours_a_year))} h"
            f" = {_three(shown)} years{' or more' if beyond else ''}",
            f"{forms().years_source}",
        ),
        source,
    )


def _three(value: float) -> str:
    """Three figures, without an exponent."""
    if value == 0:
        return "0"
    digits = 2 - math.floor(math.log10(abs(value)))
    text = f"{round(value, digits):.{max(digits, 0)}f}"
    return text.rstrip("0").rstrip(".") if digits > 0 else text


def _over_rating(given: CapacitorLife) -> str:
    if given.temperature > given.rated_temperature:
        return "hotter than its rated temperature: no life is promised there"
    if given.voltage is not None and given.rated_voltage is not None and given.voltage > given.rated_voltage:
        return "above its rated voltage: no life is promised there"
    return ""


def _need(given: CapacitorLife, *names: str) -> tuple[float, ...]:
    missing = [name.replace("_", " ") for name in names if getattr(given, name) is None]
    if missing:
        raise InputError(f"The form “{given.model}” needs {', '.join(missing)} too: type it, or choose another form.")
    return tuple(float(getattr(given, name)) for name in names)


def _ten_degrees(given: CapacitorLife) -> tuple[float, str]:
    factor = 2 ** ((given.rated_temperature - given.temperature) / 10)
    line = (
        f"2^((T0 − T) / 10) = 2^(({show(given.rated_temperature, '°C')} − {show(given.temperature, '°C')}) / 10 K)"
        f" = {factor:.4g}"
    )
    return factor, line


Worked = tuple[Factors, str, tuple[str, ...]]


def _ten_degree_rule(given: CapacitorLife) -> Worked:
    factor, line = _ten_degrees(given)
    return {"temperature_factor": factor}, forms().ten_degree.source, (line,)


def _multiplicative(given: CapacitorLife) -> Worked:
    form = forms().multiplicative
    rated, volts, ripple, rise = _need(given, "rated_voltage", "voltage", "ripple_ratio", "core_rise")
    kt, line = _ten_degrees(given)
    hot_type = given.rated_temperature >= form.over_type_celsius
    base = form.ripple_base_over if ripple > 1 and hot_type else form.ripple_base
    kr = base ** ((1 - ripple**2) * rise / 10)
    exponent = form.voltage_exponent if given.voltage_exponent is None else given.voltage_exponent
    kv = _voltage_factor(form, volts / rated, exponent)
    lines = (
        f"KT = {line}",
        f"KR = {base:g}^((1 − {ripple:g}²) × {rise:g} K / 10) = {kr:.4g}",
        f"KV = ({show(volts, 'V')} / {show(rated, 'V')})^−{exponent:g}, flat below"
        f" {form.voltage_flat_below:g} = {kv:.4g} ({form.conflict})",
    )
    return {"temperature_factor": kt, "ripple_factor": kr, "voltage_factor": kv}, form.source, lines


def _voltage_factor(form: Multiplicative, share: float, exponent: float) -> float:
    if share >= form.voltage_flat_below:
        return float(share**-exponent)
    return form.voltage_flat_factor if exponent == form.voltage_exponent else float(form.voltage_flat_below**-exponent)


def _core_temperature(given: CapacitorLife) -> Worked:
    form = forms().core_temperature
    ripple, rated_rise = _need(given, "ripple_ratio", "core_rise")
    kt, line = _ten_degrees(given)
    rise = rated_rise * ripple**2
    if rise >= form.kelvin_below:
        raise InputError(
            f"The core would be {rise:.3g} K hotter than its case; this form ends below {form.kelvin_below:g} K. "
            "Look at the ripple: no such part lasts."
        )
    kr = 2 ** (_core_term(rated_rise) - _core_term(rise))
    lines = (
        line,
        f"d = {rated_rise:g} K × {ripple:g}² = {rise:.4g} K; 2^(d0/(10 − d0/4) − d/(10 − d/4)) = {kr:.4g}",
    )
    return {"temperature_factor": kt, "ripple_factor": kr}, form.source, lines


def _core_term(rise: float) -> float:
    return rise / (10 - 0.25 * rise)


def _voltage_and_core(given: CapacitorLife) -> Worked:
    form = forms().voltage_and_core
    rated, volts = _need(given, "rated_voltage", "voltage")
    kt, line = _ten_degrees(given)
    kv = form.offset - form.slope * volts / rated
    lines = (line, f"{form.offset:g} − {form.slope:g} × {show(volts, 'V')} / {show(rated, 'V')} = {kv:.4g}")
    return {"temperature_factor": kt, "voltage_factor": kv}, form.source, lines


FORMS: Mapping[str, Callable[[CapacitorLife], Worked]] = {
    TEN_DEGREE: _ten_degree_rule,
    MULTIPLICATIVE: _multiplicative,
    CORE: _core_temperature,
    VOLTAGE_AND_CORE: _voltage_and_core,
}


def _finding(
    given: CapacitorLife,
    verdict: Verdict,
    says: str,
    values: tuple[Figure, ...] = (),
    working: tuple[str, ...] = (),
    source: str = "",
) -> Finding:
    at = f"{show(given.temperature, '°C')} of {show(given.rated_temperature, '°C')}"
    cold = given.temperature < forms().lowest_celsius
    note = f"below {forms().lowest_celsius:g} °C makers do not vouch for the estimate" if cold else ""
    return Finding(
        verdict=verdict,
        says=says,
        values=values,
        limit=f"form: {given.model}; no more than its rated temperature and voltage, edges included",
        working=(at, *working, *((note,) if note else ())),
        source=source or forms().years_source,
        caution=CAUTION,
    )
