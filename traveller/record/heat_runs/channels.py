"""What is measured in a run: a channel has a name, a quantity, limits, and may be the load."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from traveller.errors import InputError
from traveller.quantities import read_quantity, show
from traveller.vocabulary import Plain, Short

Quantity = Literal[
    "current",
    "voltage",
    "speed",
    "temperature",
    "ambient",
    "input voltage",
    "input current",
    "power factor",
    "input power",
    "output power",
]
UNITS: dict[Quantity, str] = {
    "current": "A",
    "voltage": "V",
    "speed": "rpm",
    "temperature": "°C",
    "ambient": "°C",
    "input voltage": "V",
    "input current": "A",
    "power factor": "",
    "input power": "W",
    "output power": "W",
}


BY_HAND: tuple[Quantity, ...] = ("input voltage", "input current", "power factor")
"""Often read from a meter of its own: what was typed is enough where the logger has no column for it."""


class Channel(Plain):
    """One thing that is measured. `load`: this channel tells the load, and its `rated` value is full load."""

    name: Short
    quantity: Quantity
    rated: float | None = Field(default=None, gt=0)
    at_least: float | None = None
    at_most: float | None = None
    load: bool = False

    @property
    def unit(self) -> str:
        return UNITS[self.quantity]

    @property
    def is_heat(self) -> bool:
        return self.quantity == "temperature"

    def show(self, value: float) -> str:
        return show(value, self.unit)

    def limit_words(self) -> str:
        low = "" if self.at_least is None else f"at least {self.show(self.at_least)}"
        high = "" if self.at_most is None else f"at most {self.show(self.at_most)}"
        return ", ".join(part for part in (low, high) if part)


def read_channel(text: str) -> Channel:
    """``heatsink 2: temperature, at most 85`` or ``I: current, rated 31, load``; InputError says what is wrong."""
    name, colon, rest = text.partition(":")
    words = [one.strip() for one in rest.split(",") if one.strip()]
    quantity = next((one for one in UNITS if words and one == words[0].casefold()), None)
    if not colon or not name.strip() or quantity is None:
        raise InputError(
            f'"{text}" is not a channel: write NAME: QUANTITY, at most VALUE; QUANTITY one of {", ".join(UNITS)}.'
        )
    given: dict[str, float] = {}
    for word in words[1:]:
        if word.casefold() == "load":
            continue
        key = next((one for one in ("at least", "at most", "rated") if word.casefold().startswith(one)), "")
        if not key:
            raise InputError(f'"{word}" of {name.strip()}: write at least, at most or rated and a value, or load.')
        given[key.replace(" ", "_")] = read_quantity(word[len(key) :], UNITS[quantity]).value
    load = any(word.casefold() == "load" for word in words)
    if load and not given.get("rated", 0) > 0:
        raise InputError(f"{name.strip()} is the load: say what it is at full load, for example rated 31.")
    return Channel(
        name=name.strip(),
        quantity=quantity,
        load=load,
        rated=given.get("rated"),
        at_least=given.get("at_least"),
        at_most=given.get("at_most"),
    )
