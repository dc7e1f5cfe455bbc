"""A heat run as its entries add up to it. Any sequence of entries folds; nothing here raises."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Literal
from uuid import UUID

from traveller.record.entries import Entry
from traveller.record.heat_runs.hold import Hold, Piece, hold, moment, single, together
from traveller.record.heat_runs.plan import Plan
from traveller.record.run_entries import (
    FaultSettled,
    InputFault,
    ReadingsTaken,
    RunJudged,
    RunPlanned,
    RunStarted,
    RunStopped,
    SamplesKept,
)

RunState = Literal["planned", "running", "stopped", "judged"]


@dataclass(frozen=True)
class Fresh:
    """What came from the logger and is not on the record yet: its points (s since 1970, value) by channel, its
    piece of the hold, and when it was heard."""

    points: Mapping[str, Sequence[tuple[float, float]]] = field(default_factory=dict)
    piece: Piece | None = None
    heard: datetime | None = None

    @property
    def ends(self) -> datetime | None:
        return moment(self.piece.ends) if self.piece else None


NOTHING = Fresh()


@dataclass(frozen=True)
class Settled:
    how: str
    by: str
    at: datetime


@dataclass(frozen=True)
class Run:
    """One run of a unit on a rig. `heard` is when the newest samples of a logger were kept."""

    id: UUID
    plan: Plan
    rig: str
    booking: UUID | None
    by: str
    planned: datetime
    started: datetime | None = None
    started_by: str = ""
    stopped: datetime | None = None
    why: str = ""
    readings: tuple[ReadingsTaken, ...] = ()
    chunks: tuple[SamplesKept, ...] = ()
    heard: datetime | None = None
    settled: Mapping[str, Settled] = field(default_factory=dict)
    judged: RunJudged | None = None

    @property
    def state(self) -> RunState:
        if self.judged:
            return "judged"
        if self.stopped:
            return "stopped"
        return "running" if self.started else "planned"

    @property
    def last_sample(self) -> datetime | None:
        """The time of the newest reading of all, typed or from a logger."""
        times = [*(one.taken for one in self.readings), *(one.ends for one in self.chunks)]
        return max(times, default=self.started)

    def pieces(self) -> Iterator[Piece]:
        """What the hold is worked out from. Where a logger was at work its samples decide; a typed reading in
        between has its limits only. A typed reading counts when it names every load channel."""
        yield from (one.piece for one in self.chunks)
        loads = {one.name for one in self.plan.load_channels}
        for reading in self.readings:
            if loads <= set(reading.values):
                yield single(reading.taken.timestamp(), self.plan.in_band(reading.values))

    def whole(self, fresh: Fresh = NOTHING) -> Piece | None:
        """All readings as one piece."""
        more = (fresh.piece,) if fresh.piece else ()
        return together((*self.pieces(), *more), self.plan.gap_minutes * 60)

    def on_its_clock(self, now: datetime, fresh: Fresh = NOTHING) -> datetime:
        """`now` by the clock of the logger: silence counts from when samples were last heard, so that a logger
        whose clock is slow is not taken for one that has stopped."""
        heard = fresh.heard or self.heard
        newest = fresh.ends or (self.chunks[-1].ends if self.chunks else None)
        if heard is None or newest is None or any(one.taken > newest for one in self.readings):
            return now
        return newest + (now - heard)

    def hold(self, now: datetime, fresh: Fresh = NOTHING) -> Hold:
        """How the hold stands at `now`."""
        whole = self.whole(fresh)
        there = self.on_its_clock(now, fresh)
        return hold(whole, self.plan.hold.minutes, self.plan.gap_minutes, there, self.stopped is not None)

    def found(self) -> list[InputFault]:
        """What was wrong with the input as it came, each kind once for each channel, the first of it."""
        first: dict[str, InputFault] = {}
        for fault in (one for chunk in self.chunks for one in chunk.faults):
            first.setdefault(fault.key, fault)
        return list(first.values())


Runs = Mapping[UUID, Run]


def with_entry(runs: Runs, entry: Entry) -> Runs:
    """The runs after one more entry; an entry about a run that is not there changes nothing."""
    match entry.body:
        case RunPlanned(run=None) as body:
            made = Run(entry.id, body.plan, body.rig, body.booking, entry.by, entry.at)
            return {**runs, entry.id: made}
        case RunPlanned(run=UUID() as which) as body if which in runs and not runs[which].started:
            return {**runs, which: replace(runs[which], plan=body.plan, rig=body.rig, booking=body.booking)}
        case RunStarted(run=which) as body if which in runs and not runs[which].started:
            return {**runs, which: replace(runs[which], started=body.started, started_by=entry.by)}
        case ReadingsTaken() | SamplesKept() | FaultSettled() | RunStopped() | RunJudged() if entry.body.run in runs:
            return {**runs, entry.body.run: _gone_on(runs[entry.body.run], entry)}
    return runs


def _gone_on(run: Run, entry: Entry) -> Run:
    match entry.body:
        case ReadingsTaken() as body:
            return replace(run, readings=(*run.readings, body))
        case SamplesKept() as body:
            return replace(run, chunks=(*run.chunks, body), heard=entry.at)
        case FaultSettled(fault=key, how=how):
            return replace(run, settled={**run.settled, key: Settled(how, entry.by, entry.at)})
        case RunStopped(stopped=stopped, why=why) if not run.stopped:
            return replace(run, stopped=stopped, why=why)
        case RunJudged() as body:
            return replace(run, judged=body)
    return run


def latest(runs: Runs) -> Run | None:
    """The run that was planned last."""
    return next(reversed(tuple(runs.values())), None)
