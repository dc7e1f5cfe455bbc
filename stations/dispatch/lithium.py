"""Lithium cells that leave with a unit: small enough for the easy rules, mark or no mark, which UN number.

The rules differ with the country and the mode of transport, so whatever does not plainly fit is left
undecided and goes to the licensed person.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Annotated, Literal, NamedTuple, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured

from .air import Air, ByAir

CAUTION = (
    "A pass is for the road only: by air the licensed dangerous-goods person decides after the edition in force, and "
    "sea has rules of its own. A carrier may refuse. In doubt that person decides, not this form. Swollen, leaking or "
    "recalled: do not pack it, tell the lead. Guard against short circuit and against switching on by accident."
)


AIR_MARK = "IATA, by air"


class Chemistry(BaseModel):
    """Limits for one cell and one battery in its measure (Wh, or g of lithium), and the UN numbers."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    measure: str
    cell: float
    battery: float
    alone: str
    with_equipment: str


class Hybrid(BaseModel):
    """Limits for the whole of a battery that has both chemistries, and its UN numbers."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    grams: float
    watt_hours: float
    alone: str
    with_equipment: str
    source: str


class NoMark(BaseModel):
    """Up to how many a package may go without the mark; `packages` None: any number in the consignment."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    source: str
    cells: int
    batteries: int
    packages: int | None = None


class Limits(BaseModel):
    """What ``lithium.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    source: str
    numbers_source: str
    also: str
    air: Air
    damaged_source: str
    chemistry: Mapping[str, Chemistry]
    hybrid: Hybrid
    no_mark: tuple[NoMark, ...]


@cache
def limits() -> Limits:
    """The published limits."""
    return Limits.model_validate(tomllib.loads(Path(__file__).with_name("lithium.toml").read_text(encoding="utf-8")))


def _in_full(chemistry: object) -> object:
    """What people call it: ion, Li-ion, metal."""
    short = str(chemistry).casefold().replace("-", " ").removeprefix("lithium").removeprefix("li").strip()
    return {"ion": "lithium ion", "metal": "lithium metal"}.get(short, chemistry)


class Lithium(BaseModel):
    """What one package holds. Watt-hours or grams are those of the largest single cell or battery."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    chemistry: Annotated[Literal["lithium ion", "lithium metal", "hybrid"], BeforeValidator(_in_full)] = Field(
        description="ion can be charged, metal (coin and memory cells) cannot; hybrid has both in one battery"
    )
    cells: int = Field(ge=0, le=10_000, description="single cells in the package")
    batteries: int = Field(ge=0, le=10_000, description="batteries (packs of cells) in the package")
    watt_hours: float | None = measured(
        "Wh", "lithium ion: volts × ampere-hours of the largest", default=None, at_least=0, at_most=1e6
    )
    grams: float | None = measured(
        "g", "lithium metal: grams of lithium in the largest", default=None, at_least=0, at_most=1e5
    )
    packages: int = Field(default=1, ge=1, le=10_000, description="packages in the consignment")
    button_cells: Literal["no", "yes"] = Field(default="no", description="all of them button cells?")
    packed: Literal["in equipment", "with equipment", "alone"] = Field(
        default="in equipment", description="how they travel"
    )
    sound: Literal["yes", "no"] = Field(default="yes", description="neither damaged, swollen nor recalled?")
    mark_rule: Literal["United States", "Canada"] = Field(
        default="United States", description="by road: whose rule for leaving the mark off; the first is the stricter"
    )
    by: Literal["road", "air"] = Field(default="road", description="how the package travels")
    cells_kg: float | None = measured(
        "kg", "by air: net weight of cells and batteries in the package", default=None, at_least=0, at_most=1e4
    )
    charge_percent: float | None = measured(
        "%", "by air, lithium ion: how far they are charged", default=None, at_least=0, at_most=100
    )

    @model_validator(mode="after")
    def _something_to_declare(self) -> Self:
        if self.cells + self.batteries == 0:
            raise ValueError("no cell and no battery: there is nothing to declare, count again")
        return self


class Size(NamedTuple):
    """Whether it is small enough for the easy rules, the limit and the comparison in words."""

    small: bool
    limit: str
    working: str


def lithium(given: Lithium) -> Finding:
    """Lithium cells that travel: pass when sound, small and in equipment; damaged fail, the rest is undecided.

    Values: allowed_in_equipment, mark_needed (yes or no), un_number; by air within_air_limits (yes or no). By air
    nothing passes: what is forbidden fails, the rest is for the licensed person. A value exactly on a limit is
    allowed. With cells and batteries both, the limit of a cell holds for the largest. Raises InputError when the
    measure of the chemistry, or by air the net weight, is missing. Source: ADR special provisions 188 and 376; 49 CFR
    173.185(c)(3) and Canada special provision 34 for the mark; IATA packing instructions 967 and 970 by air.
    """
    size = _hybrid(given) if given.chemistry == "hybrid" else _single(given, limits().chemistry[given.chemistry])
    small = size.small and given.sound == "yes"
    air = _by_air(given)
    rule = next(one for one in limits().no_mark if one.name == (AIR_MARK if air else given.mark_rule))
    mark = not _goes_unmarked(given, rule)
    known = limits().hybrid if given.chemistry == "hybrid" else limits().chemistry[given.chemistry]
    number = known.alone if given.packed == "alone" else known.with_equipment
    verdict = _verdict(given, small, air)
    return Finding(
        verdict=verdict,
        says=_says(verdict, given, number, mark, air),
        values=(
            Figure(name="allowed_in_equipment", value="yes" if small else "no"),
            Figure(name="mark_needed", value="yes" if mark else "no"),
            Figure(name="un_number", value=number),
            *((Figure(name="within_air_limits", value="yes" if small and air.fits else "no"),) if air else ()),
        ),
        limit=size.limit,
        working=(
            size.working,
            f"no mark ({rule.name}): button cells in equipment, or in equipment at most {rule.cells} cells "
            f"or {rule.batteries} batteries a package, {_consignment(rule)}",
            f"{given.cells} cells, {given.batteries} batteries a package, {given.packages} packages,"
            f" {given.packed}: mark {'needed' if mark else 'not needed'}; {number}",
            *(air.lines if air else ()),
            limits().also,
        ),
        source=_source(given, rule),
        caution=CAUTION,
    )


def _source(given: Lithium, rule: NoMark) -> str:
    both = (limits().hybrid.source,) if given.chemistry == "hybrid" else ()
    flown = _air_sources(given) if given.by == "air" else ()
    return "; ".join((limits().source, *both, *flown, rule.source, limits().numbers_source, limits().damaged_source))


def _air_sources(given: Lithium) -> tuple[str, ...]:
    air = limits().air
    if given.chemistry == "lithium metal":
        return (air.metal_source,)
    return (air.ion_source, air.charge_source)


def _by_air(given: Lithium) -> ByAir | None:
    if given.by == "road":
        return None
    watt_hours = None if given.chemistry == "lithium metal" else given.watt_hours
    return limits().air.judge(given.cells_kg, watt_hours, given.charge_percent, given.packed)


def _single(given: Lithium, known: Chemistry) -> Size:
    size = given.watt_hours if given.chemistry == "lithium ion" else given.grams
    if size is None:
        raise InputError(f"Type the {known.measure} of the largest one: the label or the data sheet says it.")
    allowance = known.cell if given.cells else known.battery
    limit = f"at most {allowance:g} {known.measure} in a {'cell' if given.cells else 'battery'}"
    return Size(
        size <= allowance, limit, f"{size:g} {known.measure} against {allowance:g}: the limit itself is allowed"
    )


def _hybrid(given: Lithium) -> Size:
    most = limits().hybrid
    if given.grams is None or given.watt_hours is None:
        raise InputError("Type both the grams of lithium and the watt-hours of a hybrid battery: it has both.")
    return Size(
        given.grams <= most.grams and given.watt_hours <= most.watt_hours and not given.cells,
        f"at most {most.grams:g} g of lithium and {most.watt_hours:g} watt-hours in a hybrid battery",
        f"{given.grams:g} g against {most.grams:g}, {given.watt_hours:g} watt-hours against {most.watt_hours:g}: the "
        "limits themselves are allowed; batteries only, not single cells",
    )


def _goes_unmarked(given: Lithium, rule: NoMark) -> bool:
    if given.packed != "in equipment":
        return False
    if given.button_cells == "yes" and not given.batteries:
        return True
    one_sort = not (given.cells and given.batteries)
    few = given.cells <= rule.cells and given.batteries <= rule.batteries
    return one_sort and few and (rule.packages is None or given.packages <= rule.packages)


def _consignment(rule: NoMark) -> str:
    return "any number of packages" if rule.packages is None else f"{rule.packages} packages in the consignment"


def _verdict(given: Lithium, small: bool, air: ByAir | None) -> Verdict:
    if given.sound == "no" or (air and air.forbidden):
        return Verdict.FAIL
    return Verdict.PASS if small and given.packed == "in equipment" and not air else Verdict.UNDECIDED


def _says(verdict: Verdict, given: Lithium, number: str, mark: bool, air: ByAir | None) -> str:
    if given.sound == "no":
        return "not sound: it must not travel like this. Ask the licensed person"
    if air and air.forbidden:
        return f"{number}, {air.forbidden}: discharge it, or send it another way"
    marked = "lithium mark on the package" if mark else "no mark needed"
    if verdict is Verdict.PASS:
        return f"{number}, small enough to travel in the unit, {marked}"
    if air:
        return f"{number} by air, {'within' if air.fits else 'not within'} what was read: the licensed person decides"
    why = "travels outside a unit" if given.packed != "in equipment" else "too large for the easy rules"
    return f"{number}, {why}: the licensed person decides"
