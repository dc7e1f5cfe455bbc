"""The kinds of entry about moisture-sensitive parts: when a bag was opened and closed, and what was baked."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from traveller.judgement import Finding
from traveller.record.work_entries import Reference
from traveller.vocabulary import Plain

References = Annotated[tuple[Reference, ...], Field(min_length=1)]
Level = Literal["1", "2", "2a", "3", "4", "5", "5a", "6"]
Oven = Literal["125", "90", "40", "150"]
Hours = Annotated[float, Field(ge=0, le=1e6, allow_inf_nan=False)]


class BagOpened(Plain):
    """The clock runs from here. `floor_life_h` is what the level allows, None without a limit; `used_h` are the
    hours outside that count from before."""

    kind: Literal["bag opened"] = "bag opened"
    references: References
    msl: Level
    floor_life_h: Hours | None
    used_h: Hours = 0.0
    body_mm: float | None = Field(default=None, gt=0, le=100, allow_inf_nan=False)


class BagClosed(Plain):
    """The parts lie dry again, at no more than 10 % humidity: the clock stands."""

    kind: Literal["bag closed"] = "bag closed"
    references: References


class PartsBaked(Plain):
    """The clock starts anew. `finding` says how long they had to be baked, as the tables say."""

    kind: Literal["parts baked"] = "parts baked"
    references: References
    hours: Hours
    oven: Oven
    finding: Finding
