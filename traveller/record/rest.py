"""Rest between duties and hours a week, counted in real hours. A lead is warned; nothing is forbidden here."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from importlib.resources import files
from itertools import pairwise

from traveller.record.shifts import Roster, Turn, clocks_change


@dataclass(frozen=True)
class Warned:
    """`says` is a sentence, `source` where the figure comes from."""

    says: str
    source: str


@dataclass(frozen=True)
class Limits:
    rest: timedelta
    rest_source: str
    week: timedelta
    weeks: int
    week_source: str


@cache
def limits() -> Limits:
    read = tomllib.loads(files("traveller.record").joinpath("rest.toml").read_text(encoding="utf-8"))
    rest, week = read["daily_rest"], read["week"]
    return Limits(
        timedelta(hours=rest["hours"]),
        rest["source"],
        timedelta(hours=week["hours"]),
        week["reference_weeks"],
        week["source"],
    )


def duties(roster: Roster, zone: str, start: datetime, end: datetime, crew_at: Callable[[datetime], str]) -> list[Turn]:
    """The turns between two moments that belong to somebody who is in the crew `crew_at(moment)`."""
    return [turn for turn in roster.turns(start, end, zone) if crew_at(turn.starts) in turn.crews]


def short_rests(who: str, turns: Iterable[Turn]) -> list[Warned]:
    """One warning for each pair of duties with less rest between them than the limit."""
    warned, in_order = [], sorted(turns, key=lambda one: one.starts)
    for before, after in pairwise(in_order):
        rest = after.starts - before.ends
        if rest < limits().rest:
            hours = rest / timedelta(hours=1)
            changed = " (the clocks change)" if clocks_change(before.ends, after.starts, after.zone) else ""
            says = f"{who}: {hours:g} h between {before.name} and {after.name}{changed}"
            warned.append(Warned(says, limits().rest_source))
    return warned


def weekly_hours(turns: Iterable[Turn], weeks: float) -> float:
    """Hours a week on average over so many weeks."""
    return sum(turn.hours for turn in turns) / weeks


def long_weeks(who: str, turns: Iterable[Turn]) -> list[Warned]:
    """A warning when the duties of the reference weeks come to more hours a week than the limit."""
    average = weekly_hours(turns, limits().weeks)
    if average <= limits().week / timedelta(hours=1):
        return []
    says = f"{who}: {average:.1f} h a week over {limits().weeks} weeks"
    return [Warned(says, limits().week_source)]


def warnings(who: str, roster: Roster, zone: str, now: datetime, crew_at: Callable[[datetime], str]) -> list[Warned]:
    """What a lead ought to know of the reference weeks to come of a person or crew; the first three short rests."""
    coming = duties(roster, zone, now, now + timedelta(weeks=limits().weeks), crew_at)
    return [*short_rests(who, coming)[:3], *long_weeks(who, coming)]
