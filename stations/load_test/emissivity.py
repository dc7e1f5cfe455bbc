"""The true temperature of a surface that a thermal camera took for another one.

With W ~ T⁴ in kelvin and a clear path: T_obj = ((T_app⁴ − (1 − ε) · T_refl⁴) / ε)^¼.
"""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

from pydantic import BaseModel, ConfigDict

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured

CAUTION = (
    "Live parts behind the cover: protective equipment and distance first. What is worked out for bare metal "
    "is a guess: tape or paint a patch, or measure with a probe, dead. Burns: let it cool before you touch."
)
KELVIN = 273.15


class Limits(BaseModel):
    """What ``emissivity.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    weak_below: float
    weak_source: str
    source: str


@cache
def limits() -> Limits:
    """The emissivity below which a camera says little."""
    path = Path(__file__).with_name("emissivity.toml")
    return Limits.model_validate(tomllib.loads(path.read_text(encoding="utf-8")))


class Emissivity(BaseModel):
    """What the camera shows, how the surface shines, and what is mirrored in it."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    apparent: float = measured("°C", "what the camera shows", at_least=-100, at_most=3000)
    emissivity: float = measured("", "of the surface, 0.01 to 1; tape and paint 0.95", at_least=0.01, at_most=1)
    reflected: float = measured("°C", "what is mirrored in the surface, often the room", at_least=-100, at_most=3000)
    camera_emissivity: float = measured("", "what the camera was set to", default=1.0, at_least=0.01, at_most=1)


def true_celsius(apparent: float, emissivity: float, reflected: float, camera_emissivity: float = 1.0) -> float:
    """The true temperature in °C; InputError when no surface could show what was read."""
    mirrored = (reflected + KELVIN) ** 4
    seen = camera_emissivity * (apparent + KELVIN) ** 4 + (1 - camera_emissivity) * mirrored
    own = seen - (1 - emissivity) * mirrored
    if own <= 0:
        raise InputError(
            f"A surface of emissivity {emissivity:g} with {reflected:g} °C mirrored in it cannot show "
            f"{apparent:g} °C: look at all three, or measure with a probe, dead."
        )
    return float((own / emissivity) ** 0.25) - KELVIN


def emissivity(given: Emissivity) -> Finding:
    """True temperature behind what a thermal camera shows, for a surface of known emissivity.

    Values: true_c (°C). Undecided below an emissivity of 0.5. Raises InputError when the three cannot belong
    together. Source: the radiation balance of Infraspection (irinfo.org), total radiation, T⁴.
    """
    celsius = true_celsius(given.apparent, given.emissivity, given.reflected, given.camera_emissivity)
    weak = given.emissivity < limits().weak_below
    set_to = "" if given.camera_emissivity == 1 else f", camera set to {given.camera_emissivity:g}"
    return Finding(
        verdict=Verdict.UNDECIDED if weak else Verdict.PASS,
        says=f"{celsius:.4g} °C{if_weak(given.emissivity)}",
        values=(Figure(name="true_c", value=celsius, unit="°C"),),
        limit=f"emissivity at least {limits().weak_below:g}",
        working=(
            f"T = ((T_app⁴ − (1 − {given.emissivity:g}) × T_refl⁴) / {given.emissivity:g})^¼ in kelvin, "
            f"T_app {given.apparent:g} °C{set_to}, T_refl {given.reflected:g} °C = {celsius:.6g} °C",
            f"an emissivity of {limits().weak_below:g} itself is taken",
        ),
        source=f"{limits().source}; {limits().weak_source}",
        caution=CAUTION,
    )


def if_weak(share: float) -> str:
    """What has to be added when the surface shines too little of itself; empty when it does not."""
    if share >= limits().weak_below:
        return ""
    return f"; below an emissivity of {limits().weak_below:g} this says little: tape or paint a patch, read again"
