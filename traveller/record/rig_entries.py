"""The kinds of entry about load rigs and their loggers; they stand on the record of the shop itself."""

from __future__ import annotations

from typing import Literal, Self
from uuid import UUID

from pydantic import AwareDatetime, Field, model_validator

from traveller.vocabulary import Plain


class RigBooked(Plain):
    """`rig` is kept for `unit` (their tags) from `begins` to `ends`. The booking is named by this entry."""

    kind: Literal["rig booked"] = "rig booked"
    rig: str
    unit: str
    begins: AwareDatetime
    ends: AwareDatetime
    note: str = ""

    @model_validator(mode="after")
    def _ends_later(self) -> Self:
        if self.ends <= self.begins:
            raise ValueError("a booking ends after it begins")
        return self


class RigTaken(Plain):
    """The run that was booked has started: the rig is in use until it is freed, also beyond the booked end."""

    kind: Literal["rig taken"] = "rig taken"
    booking: UUID


class RigFreed(Plain):
    """From the time of this entry on, nothing is left of the booking."""

    kind: Literal["rig freed"] = "rig freed"
    booking: UUID
    why: str = ""


TimeForm = Literal["iso", "seconds", "unix", "excel"]


class LoggerMapped(Plain):
    """Which column of a logger's file is which channel, by its headings; kept so that it is said once only.

    `form` is how its times are written, None when that is seen from the first of them.
    """

    kind: Literal["logger mapped"] = "logger mapped"
    headings: tuple[str, ...] = Field(min_length=2)
    time: str
    channels: dict[str, str]
    form: TimeForm | None = None


RigBody = RigBooked | RigTaken | RigFreed | LoggerMapped
