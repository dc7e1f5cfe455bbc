"""The kinds of entry on the record of the shop itself: its people, instruments, rigs and shelves."""

from __future__ import annotations

from datetime import date
from typing import Literal

from traveller.vocabulary import Plain, Role, Short

SHOP = "SHOP"
"""The subject of these entries."""


class InstrumentUsed(Plain):
    """The instrument as it was when the reading was taken."""

    tag: str
    name: str
    instrument_class: str
    calibration_due: date
    percent: float = 0.0
    absolute: float = 0.0

    def uncertainty(self, value: float) -> float:
        """Expanded uncertainty (k = 2) at `value`, in the unit of the reading."""
        return abs(value) * self.percent / 100 + self.absolute


class PersonEnrolled(Plain):
    kind: Literal["person enrolled"] = "person enrolled"
    tag: str
    name: Short
    roles: tuple[Role, ...]


class PersonLeft(Plain):
    kind: Literal["person left"] = "person left"
    tag: str


class InstrumentRegistered(Plain):
    """An instrument, or a new calibration of one: `percent` of reading + `absolute` is U (k = 2)."""

    kind: Literal["instrument registered"] = "instrument registered"
    instrument: InstrumentUsed


class RigRegistered(Plain):
    """A load rig, or what is new about one that has a tag. A figure of 0 is one that nobody wrote down;
    `loads` are the kinds of load it has, `out_of_use` the reason while it is not fit."""

    kind: Literal["rig registered"] = "rig registered"
    tag: str
    name: Short
    max_volts: float = 0.0
    max_amps: float = 0.0
    max_power: float = 0.0
    loads: tuple[Short, ...] = ()
    out_of_use: str = ""


class ShelfRegistered(Plain):
    kind: Literal["shelf registered"] = "shelf registered"
    tag: str
    name: Short


class ShopNamed(Plain):
    """`address` stands on the papers, line by line."""

    kind: Literal["shop named"] = "shop named"
    name: Short
    zone: str = "UTC"
    demo: bool = False
    address: str = ""
