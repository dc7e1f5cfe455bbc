"""Which shift is on, which crew has it, and how long it really lasts.

Shifts start by the clock on the wall. In the nights in which the clocks change they are shorter or longer than
they look, so lengths are only ever counted between points in time.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property, lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from traveller.errors import InputError
from traveller.record.shift_entries import CrewTurns, PatternSet, ShiftTimes

EVER_SINCE = datetime(1900, 1, 1, tzinfo=UTC)
FOR_EVER = datetime(2900, 1, 1, tzinfo=UTC)
USUAL_SHIFTS = (
    ShiftTimes(name="early", starts=time(6)),
    ShiftTimes(name="late", starts=time(14)),
    ShiftTimes(name="night", starts=time(22)),
)


@dataclass(frozen=True)
class Turn:
    """One shift on one day. `starts` and `ends` are points in time (UTC), `day` is the local day of its start.

    `crews` is empty when nobody has it. `usual` says that the shop has set no pattern, so this is a guess.
    """

    shift: str
    crews: tuple[str, ...]
    day: date
    starts: datetime
    ends: datetime
    zone: str
    overlap: timedelta
    usual: bool = False

    @property
    def hours(self) -> float:
        """How long it really lasts."""
        return (self.ends - self.starts) / timedelta(hours=1)

    @property
    def crew(self) -> str:
        return " and ".join(self.crews)

    @property
    def clocks_change(self) -> float:
        """Hours by which it is longer (or shorter, negative) than the clock on the wall says."""
        return clocks_change(self.starts, self.ends, self.zone)

    @cached_property
    def last_day(self) -> date:
        """The local day on which it ends."""
        return (self.ends - timedelta(microseconds=1)).astimezone(zone_of(self.zone)).date()

    @property
    def name(self) -> str:
        """``early Mon 3 Mar``: what people call this very turn."""
        return f"{self.shift} {day_in_words(self.day)}"

    def in_words(self) -> str:
        """``night Sat 28 Mar, crew B, 22:00-06:00, 7 h: the clocks change``."""
        local = zone_of(self.zone)
        times = f"{self.starts.astimezone(local):%H:%M}-{self.ends.astimezone(local):%H:%M}"
        crew = f"crew {self.crew}" if self.crews else "" if self.usual else "no crew"
        changed = ": the clocks change" if self.clocks_change else ""
        return ", ".join(part for part in (self.name, crew, times, f"{self.hours:g} h{changed}") if part)


@dataclass(frozen=True)
class Pattern:
    """Shifts in the order of the day, and the way of each crew through the cycle."""

    zone: str
    shifts: tuple[ShiftTimes, ...]
    crews: tuple[CrewTurns, ...]
    anchor: date
    overlap: timedelta
    usual: bool = False

    def turn(self, now: datetime) -> Turn:
        """The turn in which `now` lies; one turn ends when the next one starts."""
        today = now.astimezone(zone_of(self.zone)).date()
        days = (today + timedelta(days=n) for n in range(-1, 3))
        starts = sorted((_moment(day, one.starts, self.zone), day, one.name) for day in days for one in self.shifts)
        at = bisect_right([start for start, _, _ in starts], now) - 1
        start, day, name = starts[at]
        return Turn(name, self._on(day, name), day, start, starts[at + 1][0], self.zone, self.overlap, self.usual)

    def _on(self, day: date, shift: str) -> tuple[str, ...]:
        gone = (day - self.anchor).days
        return tuple(one.crew for one in self.crews if one.days and one.days[gone % len(one.days)] == shift)


@dataclass(frozen=True)
class Roster:
    """The patterns of a shop, each valid from its moment until the next one is."""

    set: tuple[PatternSet, ...] = ()

    def with_pattern(self, body: PatternSet) -> Roster:
        """A pattern takes the place of every other that would start later or at the same moment."""
        before = tuple(one for one in self.set if one.valid_from < body.valid_from)
        return Roster((*before, body))

    def turn(self, now: datetime, zone: str) -> Turn:
        """The turn in which `now` lies; `zone` is the shop's, for a shop without a pattern.

        The turn before a change of pattern ends with it, and the first one after it starts with it.
        """
        at = bisect_right([one.valid_from for one in self.set], now) - 1
        turn = (_pattern(self.set[at]) if at >= 0 else usual_pattern(zone)).turn(now)
        since = self.set[at].valid_from if at >= 0 else EVER_SINCE
        until = self.set[at + 1].valid_from if at + 1 < len(self.set) else FOR_EVER
        return replace(turn, starts=max(turn.starts, since), ends=min(turn.ends, until))

    def after(self, turn: Turn, zone: str) -> Turn:
        return self.turn(turn.ends, zone)

    def before(self, turn: Turn, zone: str) -> Turn:
        return self.turn(turn.starts - timedelta(microseconds=1), zone)

    def turns(self, start: datetime, end: datetime, zone: str) -> Iterator[Turn]:
        """Every turn from the one in which `start` lies to the one in which `end` lies."""
        turn = self.turn(start, zone)
        while turn.starts < end:
            yield turn
            turn = self.after(turn, zone)


def clocks_change(start: datetime, end: datetime, zone: str) -> float:
    """Hours by which the time between two moments is longer than the clock on the wall says."""
    local = zone_of(zone)
    wall = end.astimezone(local).replace(tzinfo=None) - start.astimezone(local).replace(tzinfo=None)
    return (end - start - wall) / timedelta(hours=1)


def usual_pattern(zone: str) -> Pattern:
    """Three times eight hours, for a shop that has said nothing (common practice)."""
    return Pattern(zone, USUAL_SHIFTS, (), date(2000, 1, 3), timedelta(0), usual=True)


@lru_cache(maxsize=16)
def _pattern(body: PatternSet) -> Pattern:
    in_order = tuple(sorted(body.shifts, key=lambda one: one.starts))
    return Pattern(body.zone, in_order, body.crews, body.anchor, timedelta(minutes=body.overlap_minutes))


@lru_cache(maxsize=16)
def day_in_words(day: date, year: int = 0) -> str:
    """``Sat 28 Mar``; with the year where it is not the given one."""
    return f"{day:%a} {day.day} {day:%b}" + (f" {day.year}" if year and day.year != year else "")


def zone_of(name: str) -> ZoneInfo:
    """The zone of this name; UTC when this machine does not know it."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return ZoneInfo("UTC")


def need_zone(text: str) -> str:
    """The name of a time zone of the IANA database, without blanks around it; InputError for anything else."""
    name = text.strip()
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise InputError(f'"{text}" is not a time zone: write for example Europe/Berlin or UTC.') from None
    return name


@lru_cache(maxsize=4096)
def _moment(day: date, wall: time, zone: str) -> datetime:
    """The point in time of a clock reading. One that comes twice is the first; one that never comes counts on
    from before the change (PEP 495, fold 0)."""
    return datetime.combine(day, wall.replace(tzinfo=None, fold=0), zone_of(zone)).astimezone(UTC)
