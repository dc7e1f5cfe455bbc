"""Load and temperatures of a run over time, as facts that can be drawn and compared."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from datetime import date, tzinfo

from traveller.judgement import Verdict
from traveller.record.heat_runs.channels import Channel
from traveller.record.heat_runs.heat import full_load
from traveller.record.heat_runs.run import Run, Runs
from traveller.record.run_entries import SamplesKept
from traveller.vocabulary import Plain

MOST_POINTS = 400
LOAD = "load"


class Seen(Plain):
    """What was read about one time: `minute` since the start, the mean, and the lowest and highest around it."""

    minute: float
    mean: float
    least: float
    most: float


class Trace(Plain):
    """One line over time, in % of full load or in °C; `at_most` and `at_least` are its limits."""

    name: str
    unit: str
    points: tuple[Seen, ...]
    at_least: float | None = None
    at_most: float | None = None


class RunCurve(Plain):
    """A run to be drawn. Times are minutes since its start, `hold` is the stretch at full load that met the hold or
    is the last; `again` says when a stretch before it was broken off."""

    on: date
    rig: str
    minutes: float
    wanted_minutes: float
    hold: tuple[float, float] | None
    again: tuple[float, ...]
    load: Trace
    heat: tuple[Trace, ...]
    verdict: Verdict | None


def curve_of(runs: Runs, zone: tzinfo) -> RunCurve | None:
    """The last run that was started; None when there is none or its load was never read."""
    started = [one for one in runs.values() if one.started]
    return _drawn(started[-1], zone) if started else None


def _drawn(run: Run, zone: tzinfo) -> RunCurve | None:
    assert run.started
    begins, plan = run.started.timestamp(), run.plan
    full, band = plan.hold.percent, plan.band_percent / 100
    low, high = full * (1 - band), full * (1 + band)
    load = Trace(name=LOAD, unit="%", points=thinned(_loads(run)), at_least=_short(low), at_most=_short(high))
    if not load.points:
        return None
    heat = [_heat(run, one) for one in plan.channels if one.unit == "°C"]
    whole = run.whole()
    span = full_load(whole, plan.hold.minutes)
    broken = [_minute(one.at, begins) for one in whole.breaks] if whole else []
    last = max(one.points[-1].minute for one in (load, *heat) if one.points)
    return RunCurve(
        on=run.started.astimezone(zone).date(),
        rig=run.rig,
        minutes=last,
        wanted_minutes=plan.hold.minutes,
        hold=(_minute(span[0], begins), _minute(span[1], begins)) if span else None,
        again=tuple(broken),
        load=load,
        heat=tuple(one for one in heat if one.points),
        verdict=run.judged.verdict if run.judged else None,
    )


def _minute(at: float, begins: float) -> float:
    return round((at - begins) / 60, 3)


def _short(value: float) -> float:
    return float(f"{value:.5g}")


def _middle(chunk: SamplesKept) -> float:
    return (chunk.begins.timestamp() + chunk.ends.timestamp()) / 2


def _seen(run: Run, at: float, mean: float, least: float, most: float) -> Iterator[Seen]:
    """One point, if every number of it is one."""
    if run.started and all(map(math.isfinite, (at, mean, least, most))):
        minute = _minute(at, run.started.timestamp())
        yield Seen(minute=minute, mean=_short(mean), least=_short(least), most=_short(most))


def _loads(run: Run) -> Iterator[Seen]:
    """The load in % of rated: mean of the load channels, lowest and highest of any of them."""
    rated = {one.name: one.rated for one in run.plan.load_channels if one.rated}
    for chunk in run.chunks:
        known = [(one, 100 / rated[one.name]) for one in chunk.channels if one.name in rated and one.count]
        if known:
            mean = sum(one.mean * share for one, share in known) / len(known)
            least, most = min(one.least * share for one, share in known), max(one.most * s for one, s in known)
            yield from _seen(run, _middle(chunk), mean, least, most)
    for reading in run.readings:
        shares = [100 * reading.values[name] / full for name, full in rated.items() if name in reading.values]
        if shares:
            mean = sum(shares) / len(shares)
            yield from _seen(run, reading.taken.timestamp(), mean, min(shares), max(shares))


def _heat(run: Run, channel: Channel) -> Trace:
    return Trace(
        name=channel.name,
        unit=channel.unit,
        points=thinned(_temperatures(run, channel.name)),
        at_least=channel.at_least,
        at_most=channel.at_most,
    )


def _temperatures(run: Run, name: str) -> Iterator[Seen]:
    for chunk in run.chunks:
        for one in chunk.channels:
            if one.name == name and one.count:
                yield from _seen(run, _middle(chunk), one.mean, one.least, one.most)
    for reading in run.readings:
        if (value := reading.values.get(name)) is not None:
            yield from _seen(run, reading.taken.timestamp(), value, value, value)


def thinned(points: Iterable[Seen], most: int = MOST_POINTS) -> tuple[Seen, ...]:
    """At most so many, in order of time: neighbours are drawn together, and their lowest and highest are kept."""
    rising = sorted(points, key=lambda one: one.minute)
    size = max(1, math.ceil(len(rising) / most))
    return tuple(_together(rising[at : at + size]) for at in range(0, len(rising), size))


def _together(points: list[Seen]) -> Seen:
    return Seen(
        minute=round(sum(one.minute for one in points) / len(points), 3),
        mean=_short(sum(one.mean for one in points) / len(points)),
        least=min(one.least for one in points),
        most=max(one.most for one in points),
    )
