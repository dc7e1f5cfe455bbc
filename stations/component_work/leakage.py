"""The leakage current that an electrolytic may have: makers publish several rules."""

from __future__ import annotations

import math
import tomllib
from functools import cache
from pathlib import Path

from pydantic import BaseModel, ConfigDict

from traveller.errors import InputError

BY_VOLTAGE = "by rated voltage"


class LeakageRow(BaseModel):
    """Amperes allowed up to a rated voltage: factor × C × V + plus, no less than at_least."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    volts_at_most: float = math.inf
    volts_below: float = math.inf
    per_farad_volt: float = 0.0
    per_farad: float = 0.0
    plus: float = 0.0
    at_least: float = 0.0

    def limit(self, capacitance: float, volts: float) -> float:
        amps = self.per_farad_volt * capacitance * volts + self.per_farad * capacitance + self.plus
        return max(amps, self.at_least)

    def holds(self, volts: float) -> bool:
        return volts <= self.volts_at_most and volts < self.volts_below


class LeakageRule(BaseModel):
    """A published rule, and who published it."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    source: str
    row: tuple[LeakageRow, ...]


@cache
def leakage_rules() -> dict[str, LeakageRule]:
    """The published rules by name."""
    data = tomllib.loads(Path(__file__).with_name("leakage.toml").read_text(encoding="utf-8"))
    return {rule.name: rule for rule in map(LeakageRule.model_validate, data["rule"])}


def leakage_limit(name: str, capacitance: float, volts: float) -> float:
    """The limit in amperes; InputError above the voltages that the rule covers."""
    row = next((row for row in leakage_rules()[name].row if row.holds(volts)), None)
    if row is None:
        raise InputError(f"The rule “{name}” ends below {volts:g} V: choose another one.")
    return row.limit(capacitance, volts)
