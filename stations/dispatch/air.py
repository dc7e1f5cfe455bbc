"""What was read of the rules for lithium cells by air. It can say what is forbidden; the licensed person decides."""

from __future__ import annotations

from typing import NamedTuple

from pydantic import BaseModel, ConfigDict

from traveller.errors import InputError


class ByAir(NamedTuple):
    """Why it is forbidden (empty: it is not), whether it keeps the limits that were read, and the working."""

    forbidden: str
    fits: bool
    lines: tuple[str, ...]


class Air(BaseModel):
    """kg of cells a package, and the charge (%) that cells above some Wh may hold packed with equipment."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    package_kg: float
    charge_percent: float
    charge_above: float
    ion_source: str
    metal_source: str
    charge_source: str

    def judge(self, kilograms: float | None, watt_hours: float | None, charge: float | None, packed: str) -> ByAir:
        """`watt_hours` None: no lithium ion in it. Limits themselves are kept. InputError without the kilograms."""
        if kilograms is None:
            raise InputError("By air the net weight counts: type the kilograms of cells and batteries in the package.")
        light = kilograms <= self.package_kg
        line = f"by air: {kilograms:g} kg of cells a package against {self.package_kg:g}, {packed}"
        if watt_hours is None or watt_hours <= self.charge_above or packed == "alone":
            return ByAir("", light, (line,))
        held = "not known" if charge is None else f"{charge:g} %"
        low = charge is not None and charge <= self.charge_percent
        must = packed == "with equipment"
        lines = (
            line,
            f"charge {held}, above {self.charge_above:g} Wh at most {self.charge_percent:g} % "
            f"{'has to be' if must else 'is advised'}",
        )
        if must and charge is not None and not low:
            return ByAir(f"charged to {charge:g} %, at most {self.charge_percent:g} % may fly", False, lines)
        return ByAir("", light and (low or not must), lines)
