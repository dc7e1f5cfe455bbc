"""The words of the trade that everything else is written in: kinds of unit, roles, hazards, ratings."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum
from typing import Annotated

from pydantic import BaseModel, ConfigDict, StringConstraints

Words = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=4000)]
Short = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=120)]
Currency = Annotated[str, StringConstraints(strip_whitespace=True, to_upper=True, pattern=r"^[A-Za-z]{3}$")]
"""Three letters, as in ISO 4217."""


class Plain(BaseModel):
    """Frozen, and a word that is not known is a mistake, not ignored."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class UnitKind(StrEnum):
    AC_DRIVE = "ac_drive"
    DC_DRIVE = "dc_drive"
    SERVO_DRIVE = "servo_drive"
    POWER_SUPPLY = "power_supply"
    OPERATOR_PANEL = "operator_panel"
    CIRCUIT_BOARD = "circuit_board"

    @property
    def label(self) -> str:
        return {"ac_drive": "AC drive", "dc_drive": "DC drive"}.get(self.value, self.value.replace("_", " "))


class Role(StrEnum):
    """What a person may do. One person may have several."""

    TECHNICIAN = "technician"
    INSPECTOR = "inspector"
    LOAD_TESTER = "load_tester"
    DISPATCH = "dispatch"
    LEAD = "lead"
    QUALITY = "quality"

    @property
    def label(self) -> str:
        return {
            "load_tester": "load-test technician",
            "dispatch": "dispatch clerk",
            "lead": "shift lead",
        }.get(self.value, self.value)


class HazardKind(StrEnum):
    """An open panel is a cover or guard that is off with live parts in reach behind it."""

    STORED_CHARGE = "stored_charge"
    ENERGISED = "energised"
    HOT = "hot"
    CONTAMINATION = "contamination"
    BATTERY = "battery"
    WEIGHT = "weight"
    OPEN_PANEL = "open_panel"

    @property
    def label(self) -> str:
        return self.value.replace("_", " ")


class Rating(Plain):
    """One nameplate figure: its unit, how a person calls it, one as it is typed, and what no nameplate exceeds (common
    practice: a DC link holds some hundred µF to some 10 mF)."""

    unit: str
    label: str
    example: str
    at_most: float = float("inf")


RATINGS: Mapping[str, Rating] = {
    "supply_volts": Rating(unit="V", label="supply volts", example="400"),
    "phases": Rating(unit="", label="supply phases", example="3"),
    "output_volts": Rating(unit="V", label="output volts", example="400"),
    "output_amps": Rating(unit="A", label="output amps", example="12"),
    "output_power": Rating(unit="W", label="output power", example="5k5"),
    "dc_link_capacitance": Rating(unit="F", label="DC-link capacitance", example="470u", at_most=1.0),
}
