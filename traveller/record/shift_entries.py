"""The kinds of entry about who works when: the pattern of shifts, and who belongs to which crew."""

from __future__ import annotations

from datetime import date, time
from typing import Literal

from pydantic import AwareDatetime, Field

from traveller.vocabulary import Plain, Short


class ShiftTimes(Plain):
    """One shift of the day: its name and when it starts on the clock of the wall. It lasts until the next one."""

    name: Short
    starts: time


class CrewTurns(Plain):
    """A crew and its way through the cycle: the name of its shift on each day, empty for a day off."""

    crew: Short
    days: tuple[str, ...]


class PatternSet(Plain):
    """How the shop works from `valid_from` on, which is the end of the shift in which it was decided.

    `anchor` is the first day of a cycle. The incoming crew is there `overlap_minutes` before its shift.
    """

    kind: Literal["pattern set"] = "pattern set"
    zone: str
    shifts: tuple[ShiftTimes, ...] = Field(min_length=1)
    crews: tuple[CrewTurns, ...] = ()
    anchor: date
    overlap_minutes: int = Field(default=0, ge=0, le=240)
    valid_from: AwareDatetime
    reason: str = ""


class CrewSet(Plain):
    """A person belongs to a crew from here on; an empty `crew` is none."""

    kind: Literal["crew set"] = "crew set"
    person: str
    crew: str


ShiftBody = PatternSet | CrewSet
