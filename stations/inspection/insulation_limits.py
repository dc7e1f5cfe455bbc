"""What is published about the least insulation resistance, and how a reading is carried to a temperature."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError

Correction = Literal["halves every 10 K", "thermoset winding"]


class Row(BaseModel):
    """A minimum (Ω) with the test voltage (V DC) it asks for, up to a voltage of the circuit (V AC)."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    up_to: float = math.inf
    minimum: float
    test_volts: float | None = None


class Rule(BaseModel):
    """One published minimum, the temperature (°C) it holds at and the test voltage (V DC) it asks for."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    source: str
    minimum: float = 0.0
    per_kilovolt: float = 0.0
    by_voltage: tuple[Row, ...] = ()
    at_celsius: float | None = None
    test_volts: float | None = None
    by_manual: bool = False

    def row_of(self, circuit_voltage: float) -> Row:
        """Minimum and test voltage for a circuit of so many volts."""
        if self.by_voltage:
            return next(row for row in self.by_voltage if circuit_voltage <= row.up_to)
        minimum = self.minimum + self.per_kilovolt * circuit_voltage / 1000
        return Row(minimum=minimum, test_volts=self.test_volts)


class Halving(BaseModel):
    """R · 0.5^((to − T) / kelvin)."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    kelvin: float
    source: str


class Thermoset(BaseModel):
    """Kt = e^(−factor · (1 / (T + zero) − 1 / (40 + zero))) from `lowest` to `highest` °C."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    above: float
    below: float
    zero: float
    lowest: float
    highest: float
    source: str

    def factor(self, celsius: float, reference: float) -> float:
        """Kt, by which a reading at `celsius` is multiplied; InputError outside of what is published."""
        if not self.lowest <= celsius <= self.highest:
            raise InputError(
                f"The correction for thermosetting windings is given for {self.lowest:g} to {self.highest:g} °C, "
                f"not for {celsius:g} °C: measure at such a temperature, or choose the other correction."
            )
        steep = self.above if celsius >= reference else self.below
        return math.exp(-steep * (1 / (celsius + self.zero) - 1 / (reference + self.zero)))


class Polarisation(BaseModel):
    """The least polarisation index by insulation class, and where it says nothing."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)

    class_a: float = Field(alias="A")
    class_b_f_h: float = Field(alias="B, F or H")
    meaningless_above: float
    dry_above: float
    source: str

    @property
    def least(self) -> Mapping[str, float]:
        return {"A": self.class_a, "B, F or H": self.class_b_f_h}


class Limits(BaseModel):
    """What ``insulation.toml`` holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    reference_celsius: float
    halving: Halving
    thermoset: Thermoset
    polarisation: Polarisation
    rule: tuple[Rule, ...]

    def carried(self, ohms: float, celsius: float, to: float, correction: Correction) -> float:
        """A reading in Ω taken at `celsius`, as it would be at `to` °C."""
        if correction == "thermoset winding":
            at = self.reference_celsius
            return ohms * self.thermoset.factor(celsius, at) / self.thermoset.factor(to, at)
        return ohms * float(0.5 ** ((to - celsius) / self.halving.kelvin))


@cache
def limits() -> Limits:
    """The published minima and the rules for temperature."""
    return Limits.model_validate(tomllib.loads(Path(__file__).with_name("insulation.toml").read_text(encoding="utf-8")))
