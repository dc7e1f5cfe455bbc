"""What a technician types ("2k2", "470 uF", "0,62", "> 550 M", "OL") as a value in plain units, and back.

A letter in the place of the decimal point and a trailing tolerance letter: IEC 60062 (RKM code). Units and
prefixes: traveller/units.py.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Context, Decimal
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, field_serializer, field_validator, model_validator

from traveller.errors import InputError
from traveller.units import NAMES, UNITS, factor, known, letters, wrong_kind

__all__ = ["UNITS", "Bound", "Quantity", "read_quantities", "read_quantity", "show", "show_quantity"]

Bound = Literal["exact", "above", "below", "overrange"]

LONGEST_VALUE = 64
LONGEST_LIST = 2000

_SHOWN = {0: "", -12: "p", -9: "n", -6: "µ", -3: "m", 3: "k", 6: "M", 9: "G", 12: "T"}
_LOWEST = {"°C": -273.15, "K": 0.0}
# IEC 60062, from memory: check before relying on it (published for J and K); W and H stay watt and henry.
_TOLERANCES = frozenset("BCDEFGJKLMNP")
_MULTIPLIERS = {"Ω": "RLKMGT", "F": "pnuµμ"}

_NUMBER = re.compile(r"([-+−]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:[eE][-+−]?[0-9]{1,3})?)\s*(.*)")
_THOUSANDS = re.compile(r"[-+−]?[1-9][0-9]{0,2},[0-9]{3}(?![0-9])")
_GROUPED = re.compile(r"[-+−]?[0-9]+[.,][0-9]+[.,][0-9]")
_OVERRANGE = re.compile(r"(?:OL|O\.L\.?|overrange)(?:\s+(.*))?", re.IGNORECASE)
_ZERO_L = re.compile(r"0?\.?0?\.?\s*L\.?", re.IGNORECASE)
_CLOCK = re.compile(r"([0-9]{1,4}):([0-5][0-9])(?::([0-5][0-9]))?")
_HOURS = re.compile(r"([0-9]{1,4})\s?h\s?([0-5][0-9]|[0-9](?=\s?min))()(?:\s?min)?")
_LETTER_AS_POINT = re.compile(r"([-+−]?)([0-9]*)([^\W\d_])([0-9]+)(.*)")
_LETTER_BEHIND = re.compile(r"([0-9]+(?:[.,][0-9]+)?)([^\W\d_])([A-Z])")
_SEPARATOR = re.compile(r"\s*;\s*|,\s+|\s*/\s*(?=[-+−<>.0-9]|[Oo]\.?[Ll]|R[0-9])")
_ITEM_START = re.compile(r"[<>]?[-+−]?(?:[.,]?[0-9]|[^\W\d_][0-9])|[<>]?(?:OL|O\.L|overrange)", re.IGNORECASE)


class Quantity(BaseModel):
    """A value in the plain unit, without prefix (2k2 typed for ohms is 2200.0), and what was typed.

    ``value`` is never NaN, and infinite only when ``bound`` is "overrange"; JSON has no infinity, so there
    an overrange is written with ``value`` null.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    value: float
    unit: str
    bound: Bound = "exact"
    typed: str = ""

    @field_validator("value", mode="before")
    @classmethod
    def _null_is_overrange(cls, value: object) -> object:
        return math.inf if value is None else value

    @model_validator(mode="after")
    def _infinite_only_for_overrange(self) -> Self:
        if math.isnan(self.value) or self.value == -math.inf:
            raise ValueError("a quantity needs a number; for an overrange give bound overrange")
        if math.isinf(self.value) != (self.bound == "overrange"):
            raise ValueError("only an overrange is infinite; give a number, or bound overrange without one")
        return self

    @field_serializer("value", when_used="json")
    def _infinity_as_null(self, value: float) -> float | None:
        return None if math.isinf(value) else value


def read_quantity(text: str, unit: str) -> Quantity:
    """One value as typed at the bench, in the plain ``unit`` (a key of UNITS).

    "0,62" is a decimal comma; "1,000" is refused because it may mean either. A colon always means h:mm or
    h:mm:ss, never minutes and seconds, whatever unit of time is asked for; "2h30" is 2 h 30 min. Units of the
    same kind convert (90 min to 1.5 h). A tolerance letter (4K7J) is accepted and leaves the value as it is.
    "> 550 M" and "< 5" are bounds, "OL" is an overrange. Raises InputError with a sentence for anything else.
    """
    asked = known(unit)
    plain = _plain(text, LONGEST_VALUE)
    bound: Bound = "above" if plain[0] == ">" else "below" if plain[0] == "<" else "exact"
    body = plain if bound == "exact" else plain[1:].strip()
    if not body:
        raise InputError(f"“{plain}” has no number: type for example {plain} {asked.example}.")
    overrange = _OVERRANGE.fullmatch(body)
    if overrange:
        if bound != "exact":
            raise InputError("OL already means beyond the range of the meter: type OL alone.")
        factor(overrange[1] or "", unit)
        return Quantity(value=math.inf, unit=unit, bound="overrange", typed=text)
    value = _as_float(_read_value(body, unit), body)
    if value < _LOWEST.get(unit, -math.inf):
        raise InputError(f"{show(value, unit)} is below absolute zero: check the sign and the number.")
    return Quantity(value=value, unit=unit, bound=bound, typed=text)


def read_quantities(text: str, unit: str, count: int | None = None) -> tuple[Quantity, ...]:
    """Several values, separated by spaces, ";", "/" or a comma with a space after it.

    "0,62" alone is one value with a decimal comma. With ``count`` exactly so many must be there. Raises
    InputError that names the place of the value that cannot be read, or how many were expected and read.
    """
    asked = known(unit)
    items = list(_items(_plain(text, LONGEST_LIST)))
    if count is not None and len(items) != count:
        raise InputError(
            f"{count} {'value is' if count == 1 else 'values are'} expected, {len(items)} "
            f"{'was' if len(items) == 1 else 'were'} read: type {asked.plural} with a space between values."
        )
    if len(items) == 1:
        return (read_quantity(items[0], unit),)
    read = []
    for place, item in enumerate(items, start=1):
        try:
            read.append(read_quantity(item, unit))
        except InputError as error:
            raise InputError(f"Value {place} of {len(items)}: {error}") from error
    return tuple(read)


def show(value: float, unit: str, digits: int = 4) -> str:
    """A plain value for people, to ``digits`` significant digits (1 to 17), never coarser than whole numbers.

    Prefixes only where the unit takes them, and none between 0.1 and 1, as a meter shows it: "0.62 V".
    """
    if math.isnan(value):
        return "not a number"
    if math.isinf(value):
        return "overrange"
    digits = min(max(digits, 1), 17)
    exact = Decimal(repr(float(value)))
    exponent = _shown_exponent(_rounded(exact, digits), UNITS[unit].prefixes if unit in UNITS else "")
    number = _without_noise(exact.scaleb(-exponent), digits)
    return f"{number} {_SHOWN[exponent]}{unit}".strip()


def show_quantity(quantity: Quantity) -> str:
    """As ``show``, with "> " or "< " before a bound, and "overrange"."""
    sign = {"above": "> ", "below": "< "}.get(quantity.bound, "")
    return sign + show(quantity.value, quantity.unit)


def _plain(text: str, longest: int) -> str:
    if len(text) > longest:
        raise InputError(f"That is {len(text)} characters long: type at most {longest}.")
    plain = re.sub("[\u00a0\u2009\u202f]", " ", text)
    if not plain.isprintable():
        raise InputError("There is a control or invisible character in that: type the value by hand.")
    if not plain.strip():
        raise InputError("Nothing was typed: type a value, or OL when the meter shows overrange.")
    return plain.strip()


def _items(text: str) -> Iterator[str]:
    for part in _SEPARATOR.split(re.sub(r"([<>])\s+", r"\1", text)):
        item = ""
        for word in part.split():
            if item and _ITEM_START.match(word) and word not in NAMES:
                yield item
                item = word
            else:
                item = f"{item} {word}".strip()
        yield item


def _read_value(body: str, unit: str) -> Decimal:
    asked = UNITS[unit]
    clock = _CLOCK.fullmatch(body) or _HOURS.fullmatch(body)
    if clock:
        if asked.kind != "time":
            raise wrong_kind("time", "h:mm", unit)
        hours, minutes, seconds = (int(part or 0) for part in clock.groups())
        return Decimal(hours * 3600 + minutes * 60 + seconds) / Decimal(asked.size)
    if _ZERO_L.fullmatch(body):
        raise InputError(f"“{body}” may be OL or zero: type OL for overrange, or 0.")
    marking = _marking(body, unit)
    if marking is not None:
        return marking
    if _GROUPED.match(body):
        raise InputError(f"“{body}” has two decimal signs: type 1000.5; in a list, a space after each comma.")
    if _THOUSANDS.match(body):
        raise InputError(f"“{body}” may be thousands or decimals: type 1000 or 1.000, without the comma.")
    number = _NUMBER.fullmatch(body)
    if number is None:
        raise InputError(f"“{body}” cannot be read as {asked.plural}: type for example {asked.example}.")
    return _decimal(number[1]) * factor(number[2], unit)


def _marking(body: str, unit: str) -> Decimal | None:
    """A marking code of IEC 60062 (R47, 4K7J, 27KK, 4L7, 3n3), or the same manner for other units (3V3)."""
    factors = letters(unit)
    tolerances = _TOLERANCES if unit in _MULTIPLIERS else frozenset[str]()
    inside = _LETTER_AS_POINT.fullmatch(body)
    if inside and inside[3] in factors and (inside[2] or tolerances):
        sign, whole, letter, decimals, after = inside.groups()
        if after.strip() in ("", unit, *UNITS[unit].aliases) or after in tolerances:
            return _decimal(f"{sign}{whole}.{decimals}") * factors[letter]
    behind = _LETTER_BEHIND.fullmatch(body)
    if behind is None or not tolerances or _THOUSANDS.match(body):
        return None
    number, letter, tolerance = behind.groups()
    if letter not in _MULTIPLIERS[unit] or tolerance not in tolerances or tolerance == unit:
        return None
    return _decimal(number) * factors[letter]


def _decimal(number: str) -> Decimal:
    return Decimal(number.replace("−", "-").replace(",", "."))


def _as_float(value: Decimal, body: str) -> float:
    plain = float(value)
    if math.isinf(plain) or (plain == 0 and value != 0):
        raise InputError(f"“{body}” is beyond anything that can be measured: check the exponent.")
    return plain + 0.0  # "-0" is zero


def _rounded(value: Decimal, digits: int) -> Decimal:
    return Context(prec=digits, rounding=ROUND_HALF_UP).plus(value)


def _shown_exponent(rounded: Decimal, prefixes: str) -> int:
    if not prefixes or not rounded or rounded.adjusted() == -1:
        return 0
    usable = [e for e, prefix in _SHOWN.items() if not prefix or prefix in prefixes]
    return min(max(rounded.adjusted() // 3 * 3, min(usable)), max(usable))


def _without_noise(scaled: Decimal, digits: int) -> str:
    if not scaled:
        return "0"
    if not -7 < scaled.adjusted() < 15:
        return str(_rounded(scaled, digits).normalize()).lower()
    step = Decimal(1).scaleb(min(0, scaled.adjusted() - digits + 1))
    return f"{scaled.quantize(step, rounding=ROUND_HALF_UP).normalize():f}"
