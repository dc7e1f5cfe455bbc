"""Moisture-sensitive parts: how much of the floor life is left, and how long to bake when none is.

The clock runs from the moment the bag is opened, across shifts. The bake here is the one after exposure on
the floor; baking before a part is packed dry is another table with longer times and is not used.
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
    """The level on the bag, the hours since it was opened, and the body of the part."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    msl: Literal["1", "2", "2a", "3", "4", "5", "5a", "6"] = Field(description="moisture level on the bag")
    exposed_h: float = measured("h", "hours out of the bag, all shifts together", at_least=0, at_most=1e6)
    body_mm: float = measured("mm", "thickness of the body", above=0, at_most=100)
    bake_at: Literal["125", "90", "40"] = Field(default="125", description="oven temperature in °C, if baked")


def floor_life(given: FloorLife) -> Finding:
    """Whether the part may still be soldered, and how long to bake it if not; exactly at the limit it may.

    Values: floor_life_h, left_h (0 when used up), bake_h (0 when none is needed), where the tables give them.
    Raises InputError for bodies over 2.0 mm: no table for them was obtained. Source: J-STD-033.
    """
    if given.body_mm > bakes().thickest:
        raise InputError(
            f"The tables end at bodies of {bakes().thickest:.1f} mm and this one has {given.body_mm:g} mm: "
            "follow the label on the bag and the part's own data sheet."
        )
    source, lives = floor_lives()
    if given.msl == UNLIMITED:
        return _finding(given, Verdict.PASS, "level 1: no limit", "none to 30 °C and 85 %", source)
    if given.msl == BAKE_ALWAYS:
        return _finding(given, Verdict.FAIL, "level 6: bake it as its label says", "baked first", source)
    allowed = lives[given.msl]
    left = allowed - given.exposed_h
    limit = f"{allowed:g} h out of the bag"
    if left >= 0:
        figures = (_hours("floor_life_h", allowed), _hours("left_h", left), _hours("bake_h", 0.0))
        return _finding(given, Verdict.PASS, f"{left:g} h left of {allowed:g} h", limit, source, figures)
    return _used_up(given, allowed, limit, source)


def _used_up(given: FloorLife, allowed: float, limit: str, source: str) -> Finding:
    over = given.exposed_h - allowed
    figures: tuple[Figure, ...] = (_hours("floor_life_h", allowed), _hours("left_h", 0.0))
    row = bakes().row_for(given.msl, given.body_mm)
    if row is None:
        says = f"{over:g} h over: do not solder it; no bake time for this level and body here, see its label"
        return _finding(given, Verdict.FAIL, says, limit, source, figures)
    hours = (row.up_to_72 if over <= bakes().grace_h else row.over)[given.bake_at]
    return _finding(
        given,
        Verdict.FAIL,
        f"{over:g} h over: bake it for {hours:g} h at {given.bake_at} °C before it is soldered",
        limit,
        f"{source}; bake: {bakes().source}",
        (*figures, _hours("bake_h", hours)),
        f"{over:g} h over the floor life ({bakes().grace_h:g} h or less take the shorter time), "
        f"body up to {row.body_mm_at_most:g} mm, {given.bake_at} °C: {hours:g} h",
    )


def _hours(name: str, value: float) -> Figure:
    return Figure(name=name, value=value, unit="h")


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
