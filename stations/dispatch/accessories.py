"""What came with the unit goes back with it: counted in at goods-in, counted out here."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import COMMON_PRACTICE, Figure, Finding, Verdict

Count = Annotated[float, Field(ge=0, le=9999)]


class Accessories(BaseModel):
    """Counts out and in, in the same order of columns."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    readings: tuple[Count, ...] = Field(min_length=1, max_length=48, description="counted out")
    counted_in: tuple[Count, ...] = Field(min_length=1, max_length=48, description="counted in at goods-in")
    columns: tuple[str, ...] = Field(default=(), max_length=48, description="what is counted")


def accessories(given: Accessories) -> Finding:
    """Accessories counted out against those counted in: pass when each out equals its in.

    Too many fails as well: it belongs to another unit. Values: missing, surplus (pieces). Raises InputError for
    a count that is not whole, or lists of different length. Source: ISO 9001 8.5.3, the customer's property;
    common practice.
    """
    if len(given.readings) != len(given.counted_in):
        raise InputError(f"{len(given.counted_in)} kinds were counted in and {len(given.readings)} out: count alike.")
    if broken := [one for one in (*given.readings, *given.counted_in) if one != int(one)]:
        raise InputError(f"{broken[0]:g} is not a count: write whole numbers, at goods-in too.")
    pairs = list(zip(given.counted_in, given.readings, strict=True))
    missing = sum(max(came - goes, 0) for came, goes in pairs)
    surplus = sum(max(goes - came, 0) for came, goes in pairs)
    named = len(given.columns) == len(pairs)
    names = given.columns if named else tuple(f"column {place}" for place, _ in enumerate(pairs, start=1))
    counted = [(name, came, goes) for name, (came, goes) in zip(names, pairs, strict=True)]
    differs = [f"{name}: {came:g} came in, {goes:g} go out" for name, came, goes in counted if came != goes]
    return Finding(
        verdict=Verdict.FAIL if differs else Verdict.PASS,
        says="; ".join(differs) or "all that came in goes out",
        values=(Figure(name="missing", value=missing), Figure(name="surplus", value=surplus)),
        limit="out equals in",
        working=tuple(f"{name}: in {came:g}, out {goes:g}" for name, came, goes in counted),
        source=f"{COMMON_PRACTICE}; the customer's property is accounted for (ISO 9001 8.5.3)",
    )
