"""The units that a check can ask for, how people write them, and what belongs to another kind.

Prefixes: SI brochure, 9th edition (2019), table 7, with the four added in 2022. The case of m and M is never
folded; micro is µ, Greek μ or u.
"""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple

from traveller.errors import InputError

EXPONENTS = dict(zip("qryzafpnµm", range(-30, 0, 3), strict=True))
EXPONENTS |= dict(zip("kMGTPEZYRQ", range(3, 33, 3), strict=True)) | {"u": -6, "μ": -6, "c": -2}
_ALL = "qryzafpnuµμmkMGTPEZYRQ"
_SMALL = "qryzafpnuµμm"
_BARE = "pnuµμmkMGT"


class Unit(NamedTuple):
    """One unit that a check can ask for; units of the same kind convert into each other by ``size``."""

    kind: str
    plural: str
    example: str
    aliases: tuple[str, ...] = ()
    prefixes: str = ""
    bare: bool = False  # a prefix letter alone stands for prefix and unit: 470u, 2k2, 3V3
    size: int = 1


UNITS: dict[str, Unit] = {
    "V": Unit("voltage", "volts", "0.62 or 620 mV", ("v",), _ALL, True),
    "A": Unit("current", "amperes", "1.5 or 10 mA", ("a",), _ALL, True),
    # R is left out: it is the ohm of IEC 60062, not ronna. K is kilo here and nowhere else.
    "Ω": Unit("resistance", "ohms", "4R7 or 2k2", ("\u2126", "ohm", "Ohm", "ohms"), "pnuµμmkKMGT", True),
    # Mega is left out: "MF" on an old capacitor means microfarad.
    "F": Unit("capacitance", "farads", "470u or 3n3", ("f",), "qryzafpnuµμmk", True),
    "H": Unit("inductance", "henries", "4u7 or 10 mH", (), _ALL, True),
    "W": Unit("power", "watts", "750 or 1.5 kW", ("w",), _ALL, True),
    "VA": Unit("apparent power", "volt-amperes", "750 or 1.5 kVA", ("va",), _ALL, True),
    "var": Unit("reactive power", "vars", "750 or 1.5 kvar", (), _ALL, True),
    "Hz": Unit("frequency", "hertz", "50 or 8 kHz", ("hz",), _ALL, True),
    "s": Unit("time", "seconds", "5, 90 min or 1:30 (h:mm)", ("sec",), _SMALL, size=1),
    "min": Unit("time", "minutes", "90, 1.5 h or 1:30 (h:mm)", size=60),
    "h": Unit("time", "hours", "1.5, 90 min or 1:30 (h:mm)", ("hr",), size=3600),
    "°C": Unit("temperature", "degrees Celsius", "61.2", ("ºC", "℃", "degC", "deg C")),
    "K": Unit("temperature in kelvin", "kelvins", "12.5"),
    "K/h": Unit("rate of warming", "kelvins per hour", "0.8"),
    "%": Unit("percentage", "per cent", "62.5"),
    "m": Unit("length", "metres", "1.2 or 120 cm", (), _ALL, size=1000),
    "cm": Unit("length", "centimetres", "40 or 400 mm", size=10),
    "mm": Unit("length", "millimetres", "400 or 40 cm", size=1),
    "mm/s": Unit("vibration velocity", "millimetres per second", "2.8"),
    "kg": Unit("mass", "kilograms", "7.4 or 850 g", size=1000),
    "g": Unit("mass", "grams", "850 or 7.4 kg", (), _ALL),
    "N·m": Unit("torque", "newton metres", "2.5", ("Nm", "N⋅m", "N•m", "N m", "N.m"), _ALL + "c"),
    "J": Unit("energy", "joules", "120 or 1.2 kJ", (), _ALL, True),
    "Wh": Unit("energy", "watt-hours", "94 or 1.2 kWh", (), _ALL, True, 3600),
    "C": Unit("electric charge", "coulombs", "0.01 or 45 µC", (), _ALL, True),
    "Ah": Unit("battery capacity", "ampere-hours", "1.2 or 850 mAh", (), _ALL, True),
    "rpm": Unit(
        "rotational speed",
        "revolutions per minute",
        "1480",
        ("RPM", "1/min", "/min", "r/min", "min-1", "min−1", "min^-1", "min⁻¹"),
    ),
    "lx": Unit("illuminance", "lux", "500", (), _ALL),
    "bar": Unit("pressure", "bar", "6 or 850 mbar", (), "mkµuμ"),
    "dB": Unit("level", "decibels", "-3"),
    "°": Unit("angle", "degrees of angle", "120"),
    "µg/cm²": Unit("contamination", "micrograms per cm²", "1.2", ("μg/cm²", "ug/cm²", "ug/cm2")),
    "": Unit("bare number", "a bare number", "12"),
}


def known(unit: str) -> Unit:
    """The unit with this canonical symbol; raises InputError that lists them when there is none."""
    if unit not in UNITS:
        others = ", ".join(symbol for symbol in UNITS if symbol)
        raise InputError(f"“{unit}” is not a unit that checks can ask for: use one of {others}, or none.")
    return UNITS[unit]


def _spellings() -> dict[str, tuple[str, Decimal]]:
    """Every way to write a unit with its prefix -> canonical unit, factor; canonical symbols win."""
    names = {
        prefix + alias: (symbol, Decimal(1).scaleb(EXPONENTS["k" if prefix == "K" else prefix]))
        for symbol, unit in UNITS.items()
        for alias in (symbol, *unit.aliases)
        for prefix in unit.prefixes
    }
    plain = {a: (symbol, Decimal(1)) for symbol, unit in UNITS.items() for a in (symbol, *unit.aliases)}
    return names | plain


NAMES = _spellings()


def letters(unit: str) -> dict[str, Decimal]:
    """The letters that may stand for the decimal point when ``unit`` is asked for, with their factors."""
    asked = UNITS[unit]
    if not asked.bare:
        return {}
    factors = {p: Decimal(1).scaleb(EXPONENTS[p]) for p in _BARE if p in asked.prefixes}
    factors[unit] = Decimal(1)
    if unit == "Ω":
        factors |= {"R": Decimal(1), "L": Decimal("0.001"), "K": Decimal(1000)}
    return factors


def factor(suffix: str, unit: str) -> Decimal:
    """What stands behind the number -> factor into the plain ``unit``; raises InputError for another kind."""
    asked = UNITS[unit]
    if suffix == "" or (unit, suffix) == ("°C", "C"):
        return Decimal(1)
    named = NAMES.get(suffix)
    if named and UNITS[named[0]].kind == asked.kind:
        return named[1] * Decimal(UNITS[named[0]].size) / Decimal(asked.size)
    if suffix in letters(unit):
        return letters(unit)[suffix]
    raise _refusal(suffix, unit)


def wrong_kind(kind: str, symbol: str, unit: str) -> InputError:
    """The sentence for a value of another kind than ``unit``, naming both."""
    asked = UNITS[unit]
    article = "an" if kind[0] in "aei" else "a"
    wanted = f"{asked.plural} ({unit})" if unit else asked.plural
    return InputError(
        f"That is {article} {kind} ({symbol}); this check asks for {wanted}: type for example {asked.example}"
    )


def _refusal(suffix: str, unit: str) -> InputError:
    asked = UNITS[unit]
    own_names = ("", unit, *asked.aliases)
    prefix, rest = suffix[0], suffix[1:]
    if prefix == "K" and asked.prefixes and rest in own_names:
        return InputError(f"K is kilo for ohms only: for {asked.plural} type a small k, k{rest or unit}.")
    if suffix in NAMES:
        named = NAMES[suffix][0]
        return wrong_kind(UNITS[named].kind, named, unit)
    if prefix in EXPONENTS and rest in own_names:
        return InputError(f"“{prefix}” is not used with {asked.plural}: type for example {asked.example}.")
    if prefix in EXPONENTS and rest[0] in EXPONENTS and rest[1:] in own_names:
        return InputError(f"“{suffix}” has two prefixes: type one, for example {asked.example}.")
    if re.search(r"(?:^|\s)[-+−]?\.?[0-9]", suffix):
        return InputError(f"That is more than one number: type one value, for example {asked.example}.")
    return InputError(f"“{suffix}” is not a unit of {asked.kind}: type for example {asked.example}.")
