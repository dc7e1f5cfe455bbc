"""The kind of entry about a thermal picture: what was seen, which places were marked, what each came to."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from traveller.judgement import Finding
from traveller.record.shop_entries import InstrumentUsed
from traveller.vocabulary import Plain, Short

Shape = Literal["rectangle", "ellipse"]


class Area(Plain):
    """A marked place, in points of the picture from its left upper corner. Areas of one `siblings` set are compared."""

    name: Short
    shape: Shape = "rectangle"
    left: int = Field(ge=0)
    top: int = Field(ge=0)
    width: int = Field(ge=1)
    height: int = Field(ge=1)
    siblings: str = ""


class AreaSeen(Plain):
    """`hottest` and `mean` in °C as the camera showed them; `at` is the hottest point (column, row)."""

    area: Area
    hottest: float
    mean: float
    at: tuple[int, int]
    finding: Finding


class ThermalTaken(Plain):
    """A thermal picture, kept under the SHA-256 in `picture`; temperatures in °C.

    `scale` says how the temperatures were read out of the file, so that anybody can read it again.
    """

    kind: Literal["thermal picture"] = "thermal picture"
    picture: str
    file: Short
    size: tuple[int, int]
    scale: str
    coldest: float
    hottest: float
    ambient: float
    load_fraction: float
    emissivity: float | None = None
    reflected: float | None = None
    table: str = ""
    seen: tuple[AreaSeen, ...] = Field(min_length=1)
    instruments: tuple[InstrumentUsed, ...] = ()
