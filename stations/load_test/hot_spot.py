"""A hot spot against its sibling and against ambient, carried to full load.

ΔT2 = ΔT1 · (I2 / I1)^n, n from 1.6 to 2. The published classes differ, have gaps and overlap: which table was
used is named, and a value in a gap or on a shared end takes the worse row.
"""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from traveller.judgement import Figure, Finding, Verdict, measured

from . import emissivity as camera

CAUTION = (
    "Live parts behind the cover: protective equipment and the rig's distance first. Bare metal misleads the "
    "camera: tape or paint a patch, or measure with a probe, dead. Compare siblings at equal load only. "
    "Burns: let it cool before you touch."
)


class Row(BaseModel):
    """One class of a table: it ends at `up_to` (its own) or `below` (shared with the worse row), in K."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    class_: str = Field(alias="class")
    verdict: Verdict
    up_to: float = math.inf
    below: float = math.inf

    def holds(self, kelvin: float) -> bool:
        return kelvin <= self.up_to and (kelvin < self.below or math.isinf(self.below))


class Table(BaseModel):
    """Published classes, from best to worst, and what the rise is measured over."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    compared_with: Literal["similar", "ambient"]
    printed: str
    source: str
    row: tuple[Row, ...]

    def row_of(self, kelvin: float) -> Row:
        return next(row for row in self.row if row.holds(kelvin))


class Limits(BaseModel):
    """What ``hot_spot.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    load_at_least: float
    load_source: str
    exponent: float
    exponent_source: str
    table: tuple[Table, ...]


@cache
def limits() -> Limits:
    """The published tables, and the load from which they say something."""
    return Limits.model_validate(tomllib.loads(Path(__file__).with_name("hot_spot.toml").read_text(encoding="utf-8")))


class HotSpot(BaseModel):
    """The hottest place, a sibling at the same load, the ambient, and how much of full load flowed."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    spot: float = measured("°C", "the hottest place", at_least=-40, at_most=2000)
    similar: float | None = measured(
        "°C", "the same place on a sibling; else take a table over ambient", default=None, at_least=-40, at_most=2000
    )
    ambient: float = measured("°C", "air where it draws in", at_least=-40, at_most=100)
    load_fraction: float = measured("", "share of full load current, 1 is full", at_least=0.01, at_most=3)
    exponent: float = measured(
        "", "how the rise follows the current, 1.6 to 2", default=limits().exponent, at_least=1.6, at_most=2
    )
    emissivity: float | None = measured(
        "", "of both surfaces, if the camera was set to 1", default=None, at_least=0.01, at_most=1
    )
    reflected: float | None = measured(
        "°C", "what is mirrored in them; else the ambient is taken", default=None, at_least=-100, at_most=2000
    )
    table: Literal[
        "acceptance tests, over a similar part",
        "acceptance tests, over ambient",
        "military type",
        "by experience",
        "survey, between phases",
        "survey, over ambient",
    ] = Field(default="acceptance tests, over a similar part", description="published table to class it by")

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        if self.similar is None and chosen(self.table).compared_with == "similar":
            raise ValueError("give the temperature of a sibling, or choose a table over ambient")
        if self.reflected is not None and self.emissivity is None:
            raise ValueError("give the emissivity too, or leave out what is reflected")
        return self

    def true(self, apparent: float) -> float:
        """The temperature in °C of a surface that shows `apparent`."""
        if self.emissivity is None:
            return apparent
        mirrored = self.ambient if self.reflected is None else self.reflected
        return camera.true_celsius(apparent, self.emissivity, mirrored)


def chosen(table: str) -> Table:
    return next(one for one in limits().table if one.name == table)


def hot_spot(given: HotSpot) -> Finding:
    """Hot spot against its sibling and the ambient, carried to full load and classed by a published table.

    Values: over_similar_k (only with a sibling), over_ambient_k (K, as measured), at_full_load_k (K, the rise
    that the table is for, carried to full load), class (words). The larger of the rise as measured and at full
    load is classed. Below half load, or below an emissivity of 0.5, a pass is no more than undecided.
    Source: ANSI/NETA MTS table 100.18 and the other tables of hot_spot.toml, each with its own source.
    """
    table, spot = chosen(given.table), given.true(given.spot)
    similar = None if given.similar is None else given.true(given.similar)
    over_similar, over_ambient = None if similar is None else spot - similar, spot - given.ambient
    rise = over_ambient if over_similar is None or table.compared_with == "ambient" else over_similar
    at_full = rise / float(given.load_fraction**given.exponent)
    row = table.row_of(max(rise, at_full))
    doubts = _doubts(given)
    return Finding(
        verdict=Verdict.UNDECIDED if doubts and row.verdict is Verdict.PASS else row.verdict,
        says=f"{at_full:.3g} K over {table.compared_with} at full load: {row.class_}{doubts}",
        values=(
            *(() if over_similar is None else (Figure(name="over_similar_k", value=over_similar, unit="K"),)),
            Figure(name="over_ambient_k", value=over_ambient, unit="K"),
            Figure(name="at_full_load_k", value=at_full, unit="K"),
            Figure(name="class", value=row.class_),
        ),
        limit=f"{table.name}: {table.printed}",
        working=(
            *_seen_through(given, spot, similar),
            *_over_similar(spot, similar),
            f"over ambient {spot:.5g} − {given.ambient:g} = {over_ambient:.4g} K",
            f"at full load = {rise:.4g} K / {given.load_fraction:g}^{given.exponent:g} = {at_full:.5g} K",
            "a value between two rows, or on an end that two rows share, takes the worse row",
            f"the larger, {max(rise, at_full):.4g} K, is classed",
        ),
        source=_source(given, table),
        caution=CAUTION,
    )


def _over_similar(spot: float, similar: float | None) -> tuple[str, ...]:
    return () if similar is None else (f"over similar {spot:.5g} − {similar:.5g} = {spot - similar:.4g} K",)


def _seen_through(given: HotSpot, spot: float, similar: float | None) -> tuple[str, ...]:
    if given.emissivity is None:
        return ()
    mirrored = f"{given.ambient if given.reflected is None else given.reflected:g} °C"
    return (
        f"emissivity {given.emissivity:g}, {mirrored} reflected: the camera's {given.spot:g} °C are {spot:.5g} °C"
        + ("" if similar is None else f", its {given.similar:g} °C are {similar:.5g} °C"),
    )


def _source(given: HotSpot, table: Table) -> str:
    seen = () if given.emissivity is None else (camera.limits().source,)
    return "; ".join((table.source, limits().load_source, limits().exponent_source, *seen))


def _doubts(given: HotSpot) -> str:
    """Why a good class is not enough here; empty when it is."""
    weak = given.load_fraction < limits().load_at_least
    share = f"{limits().load_at_least:.0%}"
    load = f"; below {share} load this says little, measure again with more" if weak else ""
    return load + ("" if given.emissivity is None else camera.if_weak(given.emissivity))
