"""The kind of entry about packing: what the unit travels in, to whom, with whom, and what customs asks."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from traveller.judgement import Finding
from traveller.vocabulary import Currency, Plain, Short

PackedIn = Literal["foam and carton", "crate", "customer's own packing, sound"]
Wood = Literal["no raw wood", "heat-treated and marked"]
"""ISPM 15: raw wood abroad is heat-treated and marked; plywood and board are no raw wood."""
AddressLine = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=70)]
Country = Annotated[str, StringConstraints(strip_whitespace=True, to_upper=True, pattern=r"^[A-Za-z]{2}$")]
"""Two letters, as in ISO 3166-1."""
Tariff = Annotated[str, StringConstraints(strip_whitespace=True, pattern=r"^[0-9][0-9. ]{3,15}$")]
Value = Annotated[Decimal, Field(ge=0, max_digits=12, decimal_places=2)]


class Package(Plain):
    """Outside measures in cm, weight as packed in kg."""

    length_cm: float = Field(gt=0, le=2000, allow_inf_nan=False)
    width_cm: float = Field(gt=0, le=2000, allow_inf_nan=False)
    height_cm: float = Field(gt=0, le=2000, allow_inf_nan=False)
    weight_kg: float = Field(gt=0, le=50_000, allow_inf_nan=False)


class CustomsLine(Plain):
    """Goods that go back after repair. The tariff code is typed by the clerk: nothing here looks it up."""

    description: Short
    tariff: Tariff
    origin: Country
    goods_value: Value
    repair_value: Value
    currency: Currency


class Packed(Plain):
    """`scanned` is the tag that was on the unit in hand; `charged` the carrier's weight, package by package."""

    kind: Literal["packed"] = "packed"
    scanned: str
    packages: tuple[Package, ...] = Field(min_length=1, max_length=50)
    packed_in: PackedIn
    shielded: bool
    wood: Wood
    addressee: tuple[AddressLine, ...] = Field(min_length=1, max_length=10)
    carrier: Short
    consignment: Short
    abroad: bool = False
    customs: tuple[CustomsLine, ...] = ()
    charged: tuple[Finding, ...] = ()
