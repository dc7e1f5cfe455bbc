"""What the papers of the carriage say, as plain data; and packing as it is typed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from traveller.counting import many
from traveller.errors import InputError, Refused
from traveller.judgement import Finding
from traveller.quantities import read_quantity
from traveller.record.answers import in_words
from traveller.record.carriage_entries import CustomsLine, Package, Packed
from traveller.record.forms import build
from traveller.record.report import Report
from traveller.record.shop import Shop
from traveller.record.view import UnitView
from traveller.vocabulary import Plain

LITHIUM, ACCESSORIES = "dispatch.lithium", "dispatch.accessories_out"
FIELDS = "description | tariff code | origin | value of the goods | value of the repair | currency"


class Consignment(Plain):
    """The unit and its report, what it was packed in, and what goes with it."""

    report: Report
    packed: Packed
    packed_on: date
    packed_by: str
    accessories: str
    lithium: Finding | None


def consignment_of(view: UnitView, report: Report, shop: Shop) -> Consignment:
    """Refused before it was packed, and when it was opened again after that."""
    entry = view.unit.packed
    if entry is None or not isinstance(entry.body, Packed):
        raise Refused(f"{view.unit.tag} is not packed, or was opened again since: pack it, then its papers are made.")
    accessories, lithium = view.unit.current(ACCESSORIES), view.unit.current(LITHIUM)
    return Consignment(
        report=report,
        packed=entry.body,
        packed_on=shop.day(entry.at),
        packed_by=shop.called(entry.by),
        accessories=in_words(accessories.answer) if accessories and accessories.answer else "",
        lithium=lithium.finding if lithium else None,
    )


# ---- as it is typed -----------------------------------------------------------------------------------------


def read_packages(text: str) -> tuple[Package, ...]:
    """``63x51x45 5.4``: length, width, height in cm and kg as packed; several parted by ``;``."""
    return tuple(_package(one) for one in text.split(";") if one.strip())


def _package(text: str) -> Package:
    sides, _, weight = text.strip().partition(" ")
    parts = sides.lower().replace("×", "x").split("x")
    if len(parts) != 3 or not weight.strip():
        raise InputError(f'"{text.strip()}": write a package as LENGTHxWIDTHxHEIGHT in cm and kg: 63x51x45 5.4')
    numbers = [read_quantity(one, "cm").value for one in parts]
    names = ("length_cm", "width_cm", "height_cm")
    return build(Package, {**dict(zip(names, numbers, strict=True)), "weight_kg": read_quantity(weight, "kg").value})


def read_customs(text: str) -> tuple[CustomsLine, ...]:
    """Lines parted by ``;``, the fields of each by ``|``."""
    return tuple(_customs_line(one) for one in text.split(";") if one.strip())


def _customs_line(text: str) -> CustomsLine:
    parts = [one.strip() for one in text.split("|")]
    if len(parts) != 6:
        raise InputError(f'"{text.strip()}" has {many(len(parts), "field")}; a customs line has six: {FIELDS}.')
    goods, repair = (one.replace(",", ".") for one in parts[3:5])
    names = ("description", "tariff", "origin", "goods_value", "repair_value", "currency")
    return build(CustomsLine, dict(zip(names, (*parts[:3], goods, repair, parts[5]), strict=True)))


def read_addressee(text: str) -> tuple[str, ...]:
    """Up to ten lines, parted by line breaks or ``;``."""
    lines: Sequence[str] = [one.strip() for one in text.replace("\n", ";").split(";")]
    return tuple(one for one in lines if one)


def read_packed(typed: Mapping[str, Any]) -> Packed:
    """A packing from what was typed: scanned, packages, packed_in, shielded, wood, addressee, carrier, consignment,
    customs (empty inside the country). InputError in words."""
    customs = read_customs(typed["customs"])
    given = {name: typed[name] for name in ("packed_in", "shielded", "wood", "carrier", "consignment")}
    parts = {
        "scanned": typed["scanned"].strip().upper(),
        "packages": read_packages(typed["packages"]),
        "addressee": read_addressee(typed["addressee"]),
        "customs": customs,
        "abroad": bool(customs),
    }
    return build(Packed, given | parts)
