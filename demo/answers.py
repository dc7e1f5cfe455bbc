"""For any check of the book a plausible answer that passes, worked out from the check and the unit's ratings.

What no rule can guess stands in the tables: the fields of calculations (`calculations.py`), the choices that
depend on the kind of unit, the figures of readings that have no limit.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from traveller.record.answering import band_of
from traveller.record.view import UnitView
from traveller.sheets import Check, CheckKind
from traveller.vocabulary import UnitKind

from .calculations import CALCULATIONS
from .faults import Fault
from .units import goes_abroad, weight_kg

Typed = str | dict[str, str]

KEPT = (UnitKind.AC_DRIVE, UnitKind.SERVO_DRIVE, UnitKind.OPERATOR_PANEL, UnitKind.CIRCUIT_BOARD)
FAN_COOLED = (UnitKind.AC_DRIVE, UnitKind.DC_DRIVE, UnitKind.SERVO_DRIVE, UnitKind.POWER_SUPPLY)

# Readings whose limit, if they have one, says too little about what is usual; in the check's own unit.
READINGS: Mapping[str, float] = {
    "goods_in.months_without_power": 2,
    "diagnosis.outside_insulation": 480e6,
    "component_work.torque": 2.5,
    "component_work.ripple": 0.038,
    "load_test.hold_minutes": 95,
}
MIDDLES: Mapping[str, float] = {"component_work.driver_stages": 9.8e3, "component_work.driver_supplies": 15.2}
SPREAD = 0.003
WORDS: Mapping[str, str] = {"dispatch.carrier": "Nordlicht Spedition, consignment NL 41-7730, collected at the gate"}


@dataclass(frozen=True)
class Answers:
    """Answers for one unit; the same unit is always given the same ones."""

    fault: Fault
    chance: random.Random
    picture: Path
    own: Mapping[str, Typed]

    def passing(self, check: Check, view: UnitView) -> Typed:
        """What is typed so that the check passes."""
        if check.full_key in self.own:
            return self.own[check.full_key]
        if check.may_not_apply and (why := left_out(check.full_key, view)):
            return f"n/a {why}"
        match check.kind:
            case CheckKind.TICK:
                return "yes"
            case CheckKind.CHOICE:
                return self._choice(check, view)
            case CheckKind.READING:
                return _figure(self._reading(check, view))
            case CheckKind.TABLE:
                return self._table(check, view)
            case CheckKind.TEXT:
                return self._words(check)
            case CheckKind.PHOTO:
                return str(self.picture)
            case CheckKind.SCAN:
                return view.unit.tag
            case CheckKind.CALCULATION:
                return CALCULATIONS[check.judge](view, self.chance)

    def failing(self, check: Check, view: UnitView) -> Typed | None:
        """What the fault makes the bench read there, if it shows there."""
        found = self.fault.finds.get(check.full_key)
        if isinstance(found, str) and found.endswith(" of plate"):
            return _figure(float(found.split()[0]) * _ratings(view)["dc_link_capacitance"])
        return found

    def _choice(self, check: Check, view: UnitView) -> str:
        kind = view.unit.nameplate.unit_kind if view.unit.nameplate else UnitKind.CIRCUIT_BOARD
        wanted = {
            "goods_in.fault_shows": self.fault.shows,
            "goods_in.parameters_inside": "must survive" if kind in KEPT else "none",
            "diagnosis.fault_seen": "now and then" if self.fault.shows == "now and then" else "as reported",
            "diagnosis.display_and_touch": "all good",
            "component_work.fans": "replaced" if kind in FAN_COOLED else "none fitted",
            "component_work.substitutes": "none",
            "component_work.coated": "restored" if kind is UnitKind.CIRCUIT_BOARD else "board had none",
        }.get(check.full_key)
        harmless = [one for one in check.passes or check.options if one not in check.raises_on]
        return wanted or (harmless or check.options)[0]

    def _words(self, check: Check) -> str:
        return self.fault.cause if check.key == "root_cause" else WORDS.get(check.full_key, "as it should be")

    def _reading(self, check: Check, view: UnitView) -> float:
        if check.full_key == "dispatch.weight":
            return weight_kg(_ratings(view))
        return READINGS.get(check.full_key) or self._near(_middle(check, view))

    def _table(self, check: Check, view: UnitView) -> str:
        if check.full_key == "load_test.supply_balance":
            middle = _ratings(view)["supply_volts"]
        else:
            middle = MIDDLES.get(check.full_key) or _middle(check, view)
        return " ".join(_figure(self._near(middle)) for _ in check.columns)

    def _near(self, value: float) -> float:
        return value * (1 + self.chance.uniform(-SPREAD, SPREAD))


def left_out(key: str, view: UnitView) -> str:
    """Why the check does not apply to this unit; empty when it does."""
    plate = view.unit.nameplate
    if plate is None:
        return ""
    kind = plate.unit_kind
    reasons = {
        "component_work.floor_life": (
            "no moisture-sensitive part fitted",
            kind in (UnitKind.DC_DRIVE, UnitKind.OPERATOR_PANEL),
        ),
        "inspection.coating_seen": ("board had no coating", kind is not UnitKind.CIRCUIT_BOARD),
        "inspection.insulation": (
            "nothing came with it",
            kind in (UnitKind.SERVO_DRIVE, UnitKind.POWER_SUPPLY),
        ),
        "load_test.supply_balance": ("single-phase supply", plate.ratings.get("phases") == 1),
        "dispatch.customs": ("inside the country", not goes_abroad(plate)),
    }
    why, holds = reasons.get(key, ("", False))
    return why if holds else ""


def _figure(value: float) -> str:
    return f"{value:.4g}" if abs(value) < 1e4 and (abs(value) >= 1e-3 or not value) else f"{value:.4e}"


def _ratings(view: UnitView) -> Mapping[str, float]:
    return view.unit.nameplate.ratings if view.unit.nameplate else {}


def _middle(check: Check, view: UnitView) -> float:
    """Well inside the limit; without one, inside what is plausible."""
    band = band_of(check.limit, check.unit, view.unit)[0] if check.limit else None
    low, high = (band.at_least, band.at_most) if band else (None, None)
    floor, ceiling = check.plausible or (0.0, math.inf)
    if low is not None and high is not None:
        return 1.8 if low == -high else (low + high) / 2
    if low is not None:
        return min(ceiling, low * 1.25 if low > 0 else low + 1)
    if high is not None:
        return max(floor, high * 0.4)
    return floor + (min(ceiling, floor + 100) - floor) / 4
