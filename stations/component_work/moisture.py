"""Moisture-sensitive parts: how much of the floor life is left, and how long to bake when none is.

The clock runs from the moment the bag is opened, across shifts. The bake after exposure on the floor and the bake
before a part is packed dry are two tables with different times: which one is asked is an input.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured

CAUTION = (
    "Hours count only at no more than 30 °C and 60 % humidity; warmer or damper, the clock runs faster. "
    "Tape, reels and trays may not stand 125 °C. Baking uses up solderability: write the hours down."
)
UNLIMITED, BAKE_ALWAYS = "1", "6"
PACK, NONE = "pack it dry", "none"


class BakeRow(BaseModel):
    """Bake hours by temperature for one level and body: exposed for long beyond the floor life, or not so
    long.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    body_mm_at_most: float
    msl: str
    over: Mapping[str, float]
    up_to_72: Mapping[str, float]


class Bake(BaseModel):
    """The bake table, and the overrun in hours up to which the shorter times hold."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    grace_h: float
    row: tuple[BakeRow, ...]

    @property
    def thickest(self) -> float:
        return max(row.body_mm_at_most for row in self.row)

    def row_for(self, msl: str, body_mm: float) -> BakeRow | None:
        fitting = (row for row in self.row if row.msl == msl and body_mm <= row.body_mm_at_most)
        return min(fitting, key=lambda row: row.body_mm_at_most, default=None)


class DryRow(BaseModel):
    """For which levels and exposures dry storage starts the clock anew, and how long it has to last."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    msl: tuple[str, ...]
    exposed_h_at_most: float
    times_the_exposure: float


class Dry(BaseModel):
    """The rule of dry storage."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    row: tuple[DryRow, ...]

    def starts_anew(self, msl: str, exposed_h: float, dry_h: float) -> bool:
        """Both edges count: exactly the longest exposure, exactly the shortest storage."""
        return any(
            msl in row.msl and exposed_h <= row.exposed_h_at_most and dry_h >= row.times_the_exposure * exposed_h
            for row in self.row
        )


class PackRow(BaseModel):
    """Bake hours before dry packing, by level and oven temperature."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    body_mm_at_most: float
    hours: Mapping[str, Mapping[str, float]]


class Pack(BaseModel):
    """The bake before dry packing."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    row: tuple[PackRow, ...]

    def hours_for(self, msl: str, body_mm: float, oven: str) -> float | None:
        row = min((row for row in self.row if body_mm <= row.body_mm_at_most), key=lambda row: row.body_mm_at_most)
        return row.hours.get(msl, {}).get(oven)


@cache
def dry_storage() -> Dry:
    """The rule of dry storage."""
    return Dry.model_validate(_tables()["dry"])


@cache
def packs() -> Pack:
    """The bake table before dry packing."""
    return Pack.model_validate(_tables()["pack"])


@cache
def bakes() -> Bake:
    """The bake table."""
    return Bake.model_validate(_tables()["bake"])


def _tables() -> dict[str, dict[str, object]]:
    return tomllib.loads(Path(__file__).with_name("moisture.toml").read_text(encoding="utf-8"))


@cache
def floor_lives() -> tuple[str, dict[str, float]]:
    """The source of the floor lives, and the hours by level."""
    table = dict(_tables()["floor_life"])
    return str(table.pop("source")), {level: float(str(hours)) for level, hours in table.items()}


class FloorLife(BaseModel):
    """The level on the bag, the hours since it was opened, dry storage since, and the body of the part."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    msl: Literal["1", "2", "2a", "3", "4", "5", "5a", "6"] = Field(description="moisture level on the bag")
    exposed_h: float = measured("h", "hours out of the bag, all shifts together", at_least=0, at_most=1e6)
    dry_h: float | None = measured(
        "h", "hours since then in dry storage, no more than 10 % humidity", default=None, at_least=0, at_most=1e6
    )
    body_mm: float | None = measured("mm", "thickness of the body", default=None, above=0, at_most=100)
    bake_at: Literal["125", "90", "40", "150"] = Field(default="125", description="oven temperature in °C, if baked")
    purpose: Literal["solder it", "pack it dry"] = Field(default="solder it", description="what it is to be ready for")


def floor_life(given: FloorLife) -> Finding:
    """Whether the part may still be soldered, and how long to bake it if not; exactly at the limit it may.

    Values: left_h (0 when used up, "unlimited" at level 1), bake (words: "none", or hours and temperature), and
    floor_life_h and bake_h where the tables give them. Dry storage long enough after a short exposure starts the
    clock anew. To be packed dry it is baked in any case, longer. Raises InputError for bodies over 2.0 mm: no table
    for them was obtained.

    Source: floor lives as in Cosel a0073; bakes J-STD-033 tables 4-1 and 4-2, second hand; dry storage J-STD-033,
    from memory: check before relying on it.
    """
    if given.body_mm is not None and given.body_mm > bakes().thickest:
        raise InputError(
            f"The tables end at bodies of {bakes().thickest:.1f} mm and this one has {given.body_mm:g} mm: "
            "follow the label on the bag and the part's own data sheet."
        )
    source, lives = floor_lives()
    if given.msl == UNLIMITED:
        says, limit = "level 1: no limit", "none to 30 °C and 85 %"
        return _finding(given, Verdict.PASS, says, limit, source, (_words("left_h", "unlimited"), _words("bake", NONE)))
    if given.purpose == PACK:
        return _packed(given)
    if given.msl == BAKE_ALWAYS:
        figures = (_hours("left_h", 0.0), _words("bake", "as its label says"))
        return _finding(given, Verdict.FAIL, "level 6: bake it as its label says", "baked first", source, figures)
    allowed = lives[given.msl]
    anew = given.dry_h is not None and dry_storage().starts_anew(given.msl, given.exposed_h, given.dry_h)
    left = allowed if anew else allowed - given.exposed_h
    limit = f"{allowed:g} h out of the bag"
    lines = _dry_lines(given, anew)
    if given.dry_h is not None:
        source = f"{source}; {dry_storage().source}"
    if left >= 0:
        good = (_hours("left_h", left), _words("bake", NONE), _hours("floor_life_h", allowed), _hours("bake_h", 0.0))
        return _finding(given, Verdict.PASS, f"{left:g} h left of {allowed:g} h", limit, source, good, *lines)
    return _used_up(given, allowed, limit, source, lines)


def _dry_lines(given: FloorLife, anew: bool) -> tuple[str, ...]:
    if given.dry_h is None:
        return ()
    effect = "starts the clock anew" if anew else "stops the clock and gives nothing back"
    return (f"{given.dry_h:g} h in dry storage after {given.exposed_h:g} h outside: {effect}",)


def _used_up(given: FloorLife, allowed: float, limit: str, source: str, lines: tuple[str, ...]) -> Finding:
    over = given.exposed_h - allowed
    spent = (_hours("left_h", 0.0), _hours("floor_life_h", allowed))
    if given.body_mm is None:
        says = f"{over:g} h over: do not solder it; the thickness of the body says how long to bake it"
        figures = (*spent, _words("bake", "needed: type the thickness of the body"))
        return _finding(given, Verdict.FAIL, says, limit, source, figures, *lines)
    row = bakes().row_for(given.msl, given.body_mm)
    hours = (row.up_to_72 if over <= bakes().grace_h else row.over).get(given.bake_at) if row else None
    if row is None or hours is None:
        says = f"{over:g} h over: do not solder it; no bake time for this level, body and oven here, see its label"
        figures = (*spent, _words("bake", "as its label says"))
        return _finding(given, Verdict.FAIL, says, limit, source, figures, *lines)
    return _finding(
        given,
        Verdict.FAIL,
        f"{over:g} h over: bake it for {hours:g} h at {given.bake_at} °C before it is soldered",
        limit,
        f"{source}; bake: {bakes().source}",
        (*spent, _words("bake", f"{hours:g} h at {given.bake_at} °C"), _hours("bake_h", hours)),
        *lines,
        f"{over:g} h over the floor life ({bakes().grace_h:g} h or less take the shorter time), "
        f"body up to {row.body_mm_at_most:g} mm, {given.bake_at} °C: {hours:g} h",
    )


def _packed(given: FloorLife) -> Finding:
    """Before dry packing the exposure does not matter: the part is baked."""
    limit = "baked before it is packed dry"
    if given.body_mm is None:
        raise InputError("How long to bake it before packing follows from its body: type the thickness.")
    hours = packs().hours_for(given.msl, given.body_mm, given.bake_at)
    if hours is None:
        says = "no bake time for this level, body and oven here: see its label"
        return _finding(given, Verdict.FAIL, says, limit, packs().source, (_words("bake", "as its label says"),))
    return _finding(
        given,
        Verdict.FAIL,
        f"bake it for {hours:g} h at {given.bake_at} °C, then pack it dry",
        limit,
        packs().source,
        (_words("bake", f"{hours:g} h at {given.bake_at} °C"), _hours("bake_h", hours)),
        f"before dry packing, body {given.body_mm:g} mm, {given.bake_at} °C: {hours:g} h",
    )


def _hours(name: str, value: float) -> Figure:
    return Figure(name=name, value=value, unit="h")


def _words(name: str, value: str) -> Figure:
    return Figure(name=name, value=value)


def _finding(
    given: FloorLife,
    verdict: Verdict,
    says: str,
    limit: str,
    source: str,
    values: tuple[Figure, ...] = (),
    *lines: str,
) -> Finding:
    exposed = f"level {given.msl}, {given.exposed_h:g} h out of the bag, allowed: {limit}, edge included"
    return Finding(
        verdict=verdict,
        says=says,
        values=values,
        limit=limit,
        working=(exposed, *lines),
        source=source,
        caution=CAUTION,
    )
