"""The kinds of entry about the parts that are on a unit: its parts list."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from traveller.record.work_entries import Reference
from traveller.vocabulary import Plain, Short

Cell = Annotated[str, StringConstraints(strip_whitespace=True, max_length=120)]

MOST_PARTS = 20_000


class PartKind(StrEnum):
    ELECTROLYTIC = "electrolytic"
    FILM = "film"
    RELAY = "relay"
    OPTOCOUPLER = "optocoupler"
    FAN = "fan"
    IGBT = "IGBT"
    THYRISTOR = "thyristor"
    DIODE = "diode"
    DRIVER = "driver"
    REGULATOR = "regulator"
    LOGIC = "logic"
    BATTERY = "battery"
    CONNECTOR = "connector"
    OTHER = "other"


class Part(Plain):
    """One place on a board. `drives` names the power devices that this part drives."""

    reference: Reference
    kind: PartKind
    value: Cell = ""
    rating: Cell = ""
    footprint: Cell = ""
    matched_set: Cell = ""
    board: Cell = ""
    drives: tuple[Reference, ...] = ()

    @property
    def label(self) -> str:
        """``electrolytic 470 µF 450 V``."""
        return " ".join(word for word in (self.kind.value, self.value, self.rating) if word)[:120]


class PartsListed(Plain):
    """The whole parts list of the unit; it replaces the one before. `origin` says where it comes from."""

    kind: Literal["parts listed"] = "parts listed"
    parts: tuple[Part, ...] = Field(min_length=1, max_length=MOST_PARTS)
    origin: Short


class PartAdded(Plain):
    """One part by hand; a part that is listed already is described anew."""

    kind: Literal["part added"] = "part added"
    part: Part


class PartHeadersLearned(Plain):
    """On the record of the shop: what the columns of a file with these headers mean, header by header."""

    kind: Literal["part headers learned"] = "part headers learned"
    headers: tuple[str, ...]
    columns: dict[str, str]
