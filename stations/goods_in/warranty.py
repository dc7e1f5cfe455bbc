"""The workshop's warranty, counted in calendar months."""

from __future__ import annotations

import calendar
from datetime import date

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict

SOURCE = "month rule of Regulation (EEC, Euratom) 1182/71, article 3(2)(c); the warranty contract comes first"


class Warranty(BaseModel):
    """When the unit was released, for how many months, and when it came back."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    released_on: date = Field(description="date of the release on our last report")
    months: int = Field(default=12, description="length of the warranty in months", ge=1, le=240)
    arrived_on: date = Field(description="date on which it came back")


def months_later(start: date, months: int) -> date:
    """The same day of the month `months` later, or the last day of that month if it has no such day.

    Always counted from the original date: a month after a month is not the same as two months. Raises
    InputError where the calendar ends.
    """
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    if year > date.max.year:
        raise InputError(f"{months} months after {start} is beyond the calendar: correct the release date.")
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(start.day, last))


def warranty(given: Warranty) -> Finding:
    """Until when the warranty runs, and whether the unit came back inside it; the last day counts whole.

    Values: until (date), covered (yes or no). The finding passes either way: what it says decides who pays.
    Weekends and holidays do not prolong it. Raises InputError if the unit came back before it was released.

    Source: month rule of Regulation (EEC, Euratom) 1182/71, article 3(2)(c); the warranty contract comes first.
    """
    if given.arrived_on < given.released_on:
        raise InputError(
            f"It cannot have come back on {given.arrived_on}, before its release on {given.released_on}: "
            "correct one of the dates."
        )
    until = months_later(given.released_on, given.months)
    covered = given.arrived_on <= until
    return Finding(
        verdict=Verdict.PASS,
        says=f"came back {'under' if covered else 'after'} warranty, which ran until {until}",
        values=(
            Figure(name="until", value=until.isoformat()),
            Figure(name="covered", value="yes" if covered else "no"),
        ),
        limit=f"{given.months} calendar months, the last day included",
        working=(
            f"{given.released_on} + {given.months} months = {until}"
            + (" (no such day in that month: its last day)" if until.day != given.released_on.day else ""),
            f"came back on {given.arrived_on}: {'not later' if covered else 'later'} than {until}",
            "weekends and holidays do not prolong it",
        ),
        source=SOURCE,
    )
