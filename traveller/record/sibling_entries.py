"""The kinds of entry about like devices that are compared: side by side in a table, or trace over trace."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from traveller.judgement import Finding
from traveller.quantities import Quantity
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.work_entries import Reference
from traveller.vocabulary import Plain, Short

MOST_SIBLINGS = 48
MOST_POINTS_KEPT = 400

Node = Annotated[
    str,
    StringConstraints(strip_whitespace=True, to_upper=True, pattern=r"^[A-Za-z0-9][A-Za-z0-9 _.:/+-]{0,23}$"),
]
TraceRole = Literal["good", "suspect"]


class SiblingsMeasured(Plain):
    """One row of a set: the same reading on each of its devices, in their order, and what the judge said of it.

    `tolerance` is in % of the median, as typed or as usual; `tolerance_source` says which.
    """

    kind: Literal["siblings measured"] = "siblings measured"
    set_name: Short
    row: Short
    unit: str = ""
    devices: tuple[Reference, ...] = Field(min_length=1, max_length=MOST_SIBLINGS)
    readings: tuple[Quantity, ...] = Field(min_length=1, max_length=MOST_SIBLINGS)
    tolerance: float = Field(gt=0)
    tolerance_source: str = ""
    instruments: tuple[InstrumentUsed, ...] = ()
    finding: Finding


class TraceTaken(Plain):
    """Current over voltage at a node: the points that were kept (V, A), of how many, and the file's SHA-256."""

    kind: Literal["trace taken"] = "trace taken"
    node: Node
    role: TraceRole
    points: tuple[tuple[float, float], ...] = Field(min_length=2, max_length=MOST_POINTS_KEPT)
    taken: int = Field(ge=2)
    file: str = ""
    sha256: str
    instruments: tuple[InstrumentUsed, ...] = ()
