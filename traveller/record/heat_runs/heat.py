"""Where each temperature of a run is heading: judged by the station's judge while the run goes on."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from traveller.errors import InputError
from traveller.judgement import Finding
from traveller.record.forms import LoadedJudge, build
from traveller.record.heat_runs.channels import Channel
from traveller.record.heat_runs.hold import Piece
from traveller.record.heat_runs.run import NOTHING, Fresh, Run
from traveller.record.heat_runs.times import span_words

MOST_POINTS = 60
RATE_MINUTES, AMBIENT_MINUTES = 5.0, 15.0
"""So much of the end of a curve tells how fast it rises, and how warm the air is (common practice)."""

Point = tuple[float, float]
"""Time (s since 1970) and value."""


@dataclass(frozen=True)
class Heat:
    """One temperature: the last value (°C), what the judge says of its way, or why it cannot say anything yet."""

    channel: Channel
    last: float
    at: float
    finding: Finding | None = None
    not_yet: str = ""
    warning: str = ""
    inputs: tuple[tuple[str, str], ...] = ()

    def figure(self, name: str) -> float | None:
        values = self.finding.values if self.finding else ()
        return next((float(one.value) for one in values if one.name == name), None)

    @property
    def steady(self) -> bool:
        values = self.finding.values if self.finding else ()
        return any(one.name == "steady" and one.value == "yes" for one in values)

    @property
    def says(self) -> str:
        return self.finding.says if self.finding else self.not_yet


def series(run: Run, name: str, more: Sequence[Point] = ()) -> list[Point]:
    """A channel over time: the means of the chunks at their middle, what was typed, and `more`; times rise."""
    points = [
        ((chunk.begins.timestamp() + chunk.ends.timestamp()) / 2, one.mean)
        for chunk in run.chunks
        for one in chunk.channels
        if one.name == name and one.count
    ]
    points += [(one.taken.timestamp(), one.values[name]) for one in run.readings if name in one.values]
    rising: list[Point] = []
    for point in sorted([*points, *more]):
        if not rising or point[0] > rising[-1][0]:
            rising.append(point)
    return rising


def full_load(whole: Piece | None, wanted_minutes: float) -> tuple[float, float] | None:
    """From when to when there was full load without a break: the stretch that met the hold, else the present one."""
    if whole is None:
        return None
    if whole.longest and whole.longest[1] - whole.longest[0] >= wanted_minutes * 60:
        return whole.longest
    return (whole.tail, whole.ends) if whole.tail is not None else None


def thinned(points: Sequence[Point], most: int = MOST_POINTS) -> list[Point]:
    """At most so many points: neighbours are drawn together to their mean."""
    size = math.ceil(len(points) / most) if points else 1
    groups = [points[at : at + size] for at in range(0, len(points), size)]
    return [(sum(t for t, _ in one) / len(one), sum(v for _, v in one) / len(one)) for one in groups]


def heats(run: Run, judge: LoadedJudge | None, fresh: Fresh = NOTHING) -> list[Heat]:
    """Every temperature channel that has a value."""
    added = fresh.points
    span = full_load(run.whole(fresh), run.plan.hold.minutes)
    ambient = _ambient(run, added)
    found = []
    for channel in run.plan.channels:
        points = series(run, channel.name, added.get(channel.name, ())) if channel.is_heat else []
        if points:
            found.append(_heat(run, channel, points, span, ambient, judge))
    return found


def _ambient(run: Run, more: Mapping[str, Sequence[Point]]) -> float | None:
    """The mean of the ambient in its last quarter of an hour."""
    for channel in run.plan.channels:
        if channel.quantity == "ambient" and (points := series(run, channel.name, more.get(channel.name, ()))):
            recent = [value for at, value in points if at >= points[-1][0] - AMBIENT_MINUTES * 60]
            return sum(recent) / len(recent)
    return None


def _heat(
    run: Run,
    channel: Channel,
    points: list[Point],
    span: tuple[float, float] | None,
    ambient: float | None,
    judge: LoadedJudge | None,
) -> Heat:
    at, last = points[-1]
    loaded = [point for point in points if span is not None and span[0] <= point[0] <= span[1]]
    if judge is None or ambient is None or len(loaded) < 3:
        why = "no ambient is read" if ambient is None else "not at full load for long enough yet"
        return Heat(channel, last, at, not_yet=why, warning=_warning(channel, points, None, None))
    steps = thinned(loaded)
    given = {
        "times_min": tuple(round((time - steps[0][0]) / 60, 4) for time, _ in steps),
        "temperatures": tuple(round(value, 3) for _, value in steps),
        "ambient": round(ambient, 2),
        "criterion": run.plan.criterion,
        "allowed": channel.at_most,
    }
    inputs = tuple((name, _typed(value)) for name, value in given.items() if value is not None)
    try:
        finding = judge.finding(build(judge.model, given))
    except InputError as error:
        return Heat(channel, last, at, None, str(error), _warning(channel, points, None, None), inputs)
    heat = Heat(channel, last, at, finding, inputs=inputs)
    return replace(heat, warning=_warning(channel, points, heat.figure("final_c"), heat.figure("tau_min")))


def _typed(value: object) -> str:
    """As a person would type it into the check."""
    return " ".join(f"{one:g}" for one in value) if isinstance(value, tuple) else f"{value}"


def minutes_to(limit: float, last: float, final: float, tau: float) -> float:
    """Minutes until a curve that heads for `final` with time constant `tau` (min) crosses `limit`."""
    return tau * math.log((final - last) / (final - limit))


def _warning(channel: Channel, points: Sequence[Point], final: float | None, tau: float | None) -> str:
    """What a person must know now; empty when there is nothing."""
    last, limit = points[-1][1], channel.at_most
    if limit is None:
        return ""
    if last > limit:
        return f"{channel.name} is at {last:.3g} °C, above its limit {limit:g} °C: lower the load or stop"
    if final is not None and tau is not None and final > limit:
        left = span_words(minutes_to(limit, last, final, tau))
        return f"{channel.name} heads for {final:.3g} °C, limit {limit:g} °C, in {left}: lower the load or stop"
    rate = _rate(points)
    if final is None and rate > 0 and (limit - last) / rate <= 2 * RATE_MINUTES:
        left = span_words((limit - last) / rate)
        return (
            f"{channel.name} is at {last:.3g} °C and rises by {rate:.2g} K/min, limit {limit:g} °C, "
            f"in {left} at this rate: watch it, be ready to lower the load"
        )
    return ""


def _rate(points: Sequence[Point]) -> float:
    """K/min over the last minutes; 0 when too little is known."""
    recent = [point for point in points if point[0] >= points[-1][0] - RATE_MINUTES * 60]
    if len(recent) < 3 or all(after[1] <= before[1] for before, after in pairwise(recent)):
        return 0.0
    (begun, low), (ended, high) = recent[0], recent[-1]
    return 60 * (high - low) / (ended - begun)


def hottest(found: Sequence[Heat]) -> Heat | None:
    """The one that is nearest to its limit, or simply the hottest where no limit is known."""
    return min(found, key=lambda one: (one.channel.at_most or 1e9) - one.last, default=None)
