"""The moisture clocks of a unit's parts: how long each has been out of its bag, all shifts together.

What a level allows is asked of the judge when the bag is opened and stands on that entry; here is only the time.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Literal

from traveller.record.entries import Entry
from traveller.record.moisture_entries import BagClosed, BagOpened, PartsBaked

if TYPE_CHECKING:
    from traveller.record.unit import Unit

ClockState = Literal["running", "over", "stopped", "no limit"]
NEVER = 1e5  # hours; a clock that runs for longer than this ends on no calendar that matters
BAKE_FIRST = "6"
SIGNS: Mapping[ClockState, str] = {"running": "▶", "over": "✗", "stopped": "■", "no limit": "–"}


@dataclass(frozen=True)
class Clock:
    """`used_h` counts up to `since`. While the clock stands, `since` is None and `stopped` says why."""

    reference: str
    msl: str
    floor_life_h: float | None
    body_mm: float | None
    opened_at: datetime
    used_h: float
    since: datetime | None
    stopped: str = ""
    stopped_at: datetime | None = None
    baked: bool = False

    def out_h(self, now: datetime) -> float:
        """Hours out of the bag that count, up to `now`, in begun hundredths; no clock that is behind takes any off."""
        running = (now - self.since).total_seconds() / 3600 if self.since else 0.0
        return math.ceil(round(100 * (self.used_h + max(0.0, running)), 6)) / 100

    def runs_out_at(self) -> datetime | None:
        if self.since is None or self.floor_life_h is None or self.floor_life_h - self.used_h > NEVER:
            return None
        return self.since + timedelta(hours=self.floor_life_h - self.used_h)

    def state(self, now: datetime) -> ClockState:
        """At exactly the floor life a part may still be soldered. Level 6 is baked first, whatever its clock says."""
        if self.msl == BAKE_FIRST and not self.baked:
            return "over"
        if self.floor_life_h is None:
            return "no limit"
        if self.out_h(now) > self.floor_life_h:
            return "over"
        return "running" if self.since else "stopped"


@dataclass(frozen=True)
class ClockLine:
    """One clock as the brief shows it; `left_h` is None without a limit, `runs_out_at` while it stands."""

    reference: str
    msl: str
    opened_at: datetime
    out_h: float
    left_h: float | None
    runs_out_at: datetime | None
    state: ClockState
    stopped: str

    @property
    def sign(self) -> str:
        return SIGNS[self.state]

    @property
    def says(self) -> str:
        """``running, 12.0 h out, 156.0 h left``."""
        state = f"{self.state} ({self.stopped})" if self.stopped else str(self.state)
        left = "" if self.left_h is None else f", {self.left_h:.1f} h left"
        return f"{state}, {self.out_h:.1f} h out{left}"


Clocks = dict[str, Clock]
FITTED = "fitted"


def with_entry(known: Clocks, entry: Entry, body: BagOpened | BagClosed | PartsBaked) -> Clocks:
    """The clocks after one entry; what names a part without a clock changes nothing for it."""
    changed: Clocks = {}
    for reference in body.references:
        clock = known.get(reference)
        match body:
            case BagOpened():
                changed[reference] = Clock(
                    reference,
                    body.msl,
                    body.floor_life_h,
                    body.body_mm,
                    clock.opened_at if clock and clock.stopped != FITTED else entry.at,
                    body.used_h,
                    entry.at,
                )
            case BagClosed() if clock and clock.since:
                changed[reference] = stopped(clock, entry.at, "in dry storage")
            case PartsBaked() if clock and clock.stopped != FITTED:
                changed[reference] = replace(clock, used_h=0.0, since=entry.at, stopped="", stopped_at=None, baked=True)
    return {**known, **changed}


def stopped(clock: Clock, at: datetime, why: str) -> Clock:
    return replace(clock, used_h=clock.out_h(at), since=None, stopped=why, stopped_at=at)


def with_fitted(known: Clocks, reference: str, at: datetime) -> Clocks:
    """A part that is soldered needs no clock any more."""
    clock = known.get(reference)
    return {**known, reference: stopped(clock, at, FITTED)} if clock else known


def clocks(unit: Unit, now: datetime) -> list[ClockLine]:
    """The clocks of a unit as they are at `now`.

    What runs out first comes first; clocks that stand come last, those of fitted parts not at all.
    """
    lines = [
        ClockLine(
            clock.reference,
            clock.msl,
            clock.opened_at,
            clock.out_h(now),
            None if clock.floor_life_h is None else max(0.0, clock.floor_life_h - clock.out_h(now)),
            clock.runs_out_at(),
            clock.state(now),
            clock.stopped,
        )
        for clock in unit.clocks.values()
        if clock.stopped != FITTED
    ]
    return sorted(lines, key=lambda line: (line.runs_out_at is None, line.runs_out_at or now, line.reference))
