"""A run as everybody watches it: plan and present step, readings, curves, hold, temperatures, what is wrong."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from traveller.record.heat_runs.asked import heat_of, reform_words, still_open
from traveller.record.heat_runs.channels import Channel
from traveller.record.heat_runs.faults import open_faults
from traveller.record.heat_runs.heat import Heat, Point, series
from traveller.record.heat_runs.hold import Hold
from traveller.record.heat_runs.run import NOTHING, Fresh, Run
from traveller.record.heat_runs.usual import UsualRun
from traveller.record.run_entries import InputFault
from traveller.record.view import UnitView


@dataclass(frozen=True)
class RunWatch:
    """Immutable; a screen is handed one and paints it."""

    view: UnitView
    run: Run
    now: datetime
    hold: Hold
    heats: tuple[Heat, ...]
    faults: tuple[InputFault, ...]
    last: Mapping[str, Point]
    curves: Mapping[str, Sequence[Point]]
    reform: str
    before_power: tuple[str, ...]

    @property
    def tag(self) -> str:
        return self.view.unit.tag

    @property
    def share(self) -> float | None:
        """The load in percent of rated, by the newest readings."""
        return self.run.plan.share({name: value for name, (_, value) in self.last.items()})

    @property
    def step(self) -> int:
        """The place of the present step in the plan; -1 before the first."""
        return -1 if self.share is None else self.run.plan.step_at(self.share)

    @property
    def read_at(self) -> datetime | None:
        times = [at for at, _ in self.last.values()]
        return datetime.fromtimestamp(max(times), self.now.tzinfo) if times else self.run.started

    @property
    def due(self) -> datetime | None:
        """When the next reading is due; None when nothing runs."""
        at = self.read_at
        return at + timedelta(minutes=self.run.plan.reading_minutes) if at and self.run.state == "running" else None

    @property
    def ends(self) -> datetime | None:
        """When the hold is met if nothing breaks it; before it has begun, what the plan still asks for."""
        if self.run.state != "running":
            return None
        if self.hold.met_at or self.hold.will_be_met_at:
            return self.hold.met_at or self.hold.will_be_met_at
        left = sum(step.minutes for step in self.run.plan.steps[max(0, self.step) :] if step.what != "overload")
        return self.now + timedelta(minutes=left)

    def warnings(self) -> list[str]:
        """What a person must know now, the worst first."""
        hot = [one.warning for one in self.heats if one.warning]
        return hot + [f"{one.fault}: {one.says}" for one in self.faults]

    def is_out(self, channel: Channel, value: float) -> bool:
        """Outside its limits; a load channel only counts against its band at full load."""
        low, high = channel.at_least, channel.at_most
        if channel.load and channel.rated and self.hold.started:
            low, high = self.run.plan.band_of(channel)
        return (low is not None and value < low) or (high is not None and value > high)


def watch(view: UnitView, run: Run, usual: UsualRun, now: datetime, fresh: Fresh = NOTHING) -> RunWatch:
    """The run as it stands at `now`."""
    curves = {one.name: series(run, one.name, fresh.points.get(one.name, ())) for one in run.plan.channels}
    planned = run.state == "planned"
    return RunWatch(
        view=view,
        run=run,
        now=now,
        hold=run.hold(now, fresh),
        heats=tuple(heat_of(view, usual, run, fresh)),
        faults=tuple(open_faults(run, now, fresh)),
        last={name: points[-1] for name, points in curves.items() if points},
        curves=curves,
        reform=reform_words(view, usual) if planned else "",
        before_power=tuple(one.ask for one in still_open(view, usual)) if planned else (),
    )


def hold_words(one: RunWatch) -> str:
    """How the hold stands, in a few words."""
    hold = one.hold
    if one.run.state == "planned":
        return f"not started: {one.run.plan.minutes:g} min as planned"
    if hold.met:
        return f"hold met: {hold.held_minutes:.0f} min, {hold.wanted_minutes:g} wanted"
    if hold.started:
        return f"held {hold.held_minutes:.0f} of {hold.wanted_minutes:g} min"
    if one.run.stopped:
        return f"hold not met: {hold.held_minutes:.0f} of {hold.wanted_minutes:g} min"
    share = "" if one.share is None else f", load {one.share:.0f} %"
    return f"not in the band{share}"
