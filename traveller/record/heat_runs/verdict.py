"""What a run has proved: every part with its working, and the answers to the checks that it proves."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from statistics import fmean

from traveller.judgement import COMMON_PRACTICE, Band, Figure, Finding, Verdict, judge_reading, worst
from traveller.quantities import Quantity
from traveller.record.answers import Answer, Calculated, Read, ReadSideBySide
from traveller.record.entries import Entry
from traveller.record.heat_runs.channels import UNITS, Channel
from traveller.record.heat_runs.channels import Quantity as Measured
from traveller.record.heat_runs.faults import open_faults
from traveller.record.heat_runs.heat import Heat, full_load, hottest, series
from traveller.record.heat_runs.run import Run
from traveller.record.run_entries import Judged
from traveller.record.thermal_entries import ThermalTaken
from traveller.sheets import Check, CheckKind

END_OF_HOLD_MINUTES = 10.0
EMPTY_SHARE = 10.0
"""Percent of the load: below it a speed counts as the one without load (common practice, as the ten minutes are)."""
MOST_WORDS = 3900


@dataclass(frozen=True)
class Proved:
    """An answer that the run gives to a check."""

    check: Check
    answer: Answer


def verdict(parts: tuple[Judged, ...]) -> Verdict:
    return worst(one.finding.verdict for one in parts)


def failed_words(found: Iterable[Judged]) -> str:
    """What failed in a run, as it is put down; empty when nothing did."""
    bad = [f"{one.name}: {one.finding.says}" for one in found if one.finding.verdict is Verdict.FAIL]
    return f"heat run: {'; '.join(bad)}"[:MOST_WORDS] if bad else ""


def parts(run: Run, heat: list[Heat], now: datetime) -> tuple[Judged, ...]:
    """Hold, load, limits, temperatures, efficiency, and what is wrong with the input."""
    found = [Judged(name="hold", finding=_held(run, now))]
    found += _channels(run)
    found += [Judged(name=f"{one.channel.name}: steady", finding=_steady(one)) for one in heat]
    found += [Judged(name="efficiency", finding=one) for one in _efficiency(run)]
    found += [Judged(name="input", finding=_input(run, now))]
    return tuple(found)


def pictured(thermal: Iterable[Entry], run: Run) -> Iterator[Judged]:
    """Every place of the last thermal picture that was taken since the run began."""
    taken = [one.body for one in thermal if run.started and one.at >= run.started]
    for body in taken[-1:]:
        if isinstance(body, ThermalTaken):
            yield from (Judged(name=f"thermal picture, {one.area.name}", finding=one.finding) for one in body.seen)


def _held(run: Run, now: datetime) -> Finding:
    hold = run.hold(now)
    minutes = f"{hold.held_minutes:.4g} min"
    restarts = tuple(f"began again at {at:%H:%M:%S} UTC: {why}" for at, why in hold.restarted)
    more = (f"and {hold.untold} times more",) if hold.untold else ()
    bands = [(one, run.plan.band_of(one)) for one in run.plan.load_channels]
    return Finding(
        verdict=Verdict.PASS if hold.met else Verdict.FAIL if run.stopped else Verdict.UNDECIDED,
        says=f"held for {minutes} without a break" if hold.met else f"only {minutes} of {hold.wanted_minutes:g} min",
        values=(Figure(name="held_min", value=hold.held_minutes, unit="min"),),
        limit=f"at least {hold.wanted_minutes:g} min within ± {run.plan.band_percent:g} %",
        working=(
            *(f"{c.name}: {c.show(low)} to {c.show(high)}" for c, (low, high) in bands),
            f"longest time without a reading: {run.plan.gap_minutes:g} min",
            *(restarts or ("never interrupted",)),
            *more,
        ),
        source=run.plan.source or COMMON_PRACTICE,
    )


def in_hold(run: Run) -> dict[str, float]:
    """The mean of each channel in the last ten minutes of the hold, by the load that met it or is on now."""
    span = full_load(run.whole(), run.plan.hold.minutes)
    if span is None:
        return {}
    found: dict[str, float] = {}
    for channel in run.plan.channels:
        points = [point for point in series(run, channel.name) if span[0] <= point[0] <= span[1]]
        late = [value for at, value in points if at >= span[1] - END_OF_HOLD_MINUTES * 60]
        if late or points:
            found[channel.name] = fmean(late or [value for _, value in points])
    return found


def _channels(run: Run) -> Iterator[Judged]:
    """Load channels by their mean at the end of the hold, temperatures by their highest, others by their mean."""
    means = in_hold(run)
    for channel in run.plan.channels:
        low, high = run.plan.band_of(channel) if channel.load and channel.rated else (channel.at_least, channel.at_most)
        value = _highest(run, channel) if channel.unit == "°C" else means.get(channel.name)
        if low is None and high is None:
            continue
        if value is None:
            says = f"{channel.name} was never read" if channel.unit == "°C" else f"{channel.name}: no value in the hold"
            yield Judged(name=channel.name, finding=Finding(verdict=Verdict.UNDECIDED, says=says))
            continue
        band = Band(unit=channel.unit, at_least=low, at_most=high, source=run.plan.source or COMMON_PRACTICE)
        yield Judged(name=channel.name, finding=judge_reading(Quantity(value=value, unit=channel.unit), band))


def _highest(run: Run, channel: Channel) -> float | None:
    seen = [one.most for chunk in run.chunks for one in chunk.channels if one.name == channel.name and one.count]
    seen += [one.values[channel.name] for one in run.readings if channel.name in one.values]
    return max(seen, default=None)


def _steady(heat: Heat) -> Finding:
    if heat.finding:
        return heat.finding
    return Finding(verdict=Verdict.UNDECIDED, says=heat.not_yet)


def _efficiency(run: Run) -> Iterator[Finding]:
    means = in_hold(run)
    into = [means[one.name] for one in run.plan.channels if one.quantity == "input power" and one.name in means]
    out = [means[one.name] for one in run.plan.channels if one.quantity == "output power" and one.name in means]
    if not into or not out or sum(into) <= 0:
        return
    percent = 100 * sum(out) / sum(into)
    yield Finding(
        verdict=Verdict.PASS if percent <= 100 else Verdict.FAIL,
        says=f"{percent:.3g} %" if percent <= 100 else f"{percent:.3g} % cannot be: look at both power readings",
        values=(Figure(name="efficiency", value=percent, unit="%"),),
        limit="not more out than in",
        working=(f"η = 100 × {sum(out):.5g} W / {sum(into):.5g} W = {percent:.4g} %",),
        source="η = 100 Pout / Pin, the definition of efficiency",
    )


def _input(run: Run, now: datetime) -> Finding:
    wrong = open_faults(run, now)
    settled = tuple(f"{key}: settled by {one.by}: {one.how}" for key, one in run.settled.items())
    return Finding(
        verdict=Verdict.UNDECIDED if wrong else Verdict.PASS,
        says="; ".join(f"{one.fault}: {one.says}" for one in wrong) or "nothing is wrong with what was read",
        limit="nothing that is not settled",
        working=(f"{sum(c.count for c in run.chunks)} samples, {len(run.readings)} typed readings", *settled),
        source=COMMON_PRACTICE,
    )


# ---- what checks it answers -----------------------------------------------------------------------------


def proved(run: Run, heat: list[Heat], checks: Mapping[str, Check], now: datetime) -> Iterator[Proved]:
    """The answers of the run to the checks named in ``run.toml``, those of them that are asked of this unit."""
    means = in_hold(run)
    currents = [one for one in run.plan.load_channels if one.quantity == "current" and one.name in means]
    volts = [one for one in run.plan.channels if one.quantity == "voltage" and one.name in means]
    if (check := checks.get("hold")) and check.kind is CheckKind.READING:
        minutes = round(run.hold(now).held_minutes, 2)
        yield Proved(check, Read(reading=Quantity(value=minutes, unit=check.unit)))
    if (check := checks.get("phases")) and len(check.columns) == len(currents):
        readings = tuple(_rounded(means[one.name], check.unit) for one in currents)
        yield Proved(check, ReadSideBySide(columns=check.columns, readings=readings))
    if (check := checks.get("amps")) and len(currents) == 1:
        yield Proved(check, Read(reading=_rounded(means[currents[0].name], check.unit)))
    if (check := checks.get("volts")) and len(volts) == 1:
        yield Proved(check, Read(reading=_rounded(means[volts[0].name], check.unit)))
    for what, worked in (("speed", _speeds(run, means)), ("power", _power(run, means))):
        if (check := checks.get(what)) and worked:
            yield Proved(check, Calculated(inputs={name: f"{value:.6g}" for name, value in worked.items()}))
    if (check := checks.get("heat")) and (worst_one := hottest(heat)) and worst_one.inputs:
        yield Proved(check, Calculated(inputs=dict(worst_one.inputs)))


def _rounded(value: float, unit: str) -> Quantity:
    return Quantity(value=float(f"{value:.6g}"), unit=unit)


def _speeds(run: Run, means: Mapping[str, float]) -> dict[str, float]:
    """Speed without load (before the first step, at less than a tenth of the load) and at full load."""
    speed = next((one for one in run.plan.channels if one.quantity == "speed" and one.name in means), None)
    if speed is None:
        return {}
    loads = {one.name: dict(series(run, one.name)) for one in run.plan.load_channels}
    empty = [value for at, value in series(run, speed.name) if _is_empty(run, loads, at)]
    return {"no_load": fmean(empty), "full_load": means[speed.name]} if empty else {}


def _power(run: Run, means: Mapping[str, float]) -> dict[str, float]:
    """Volts, amps and power factor of the input at full load, each the mean of its channels; nothing unless all three
    are known. With the output power, if it is, and then the speed of the shaft."""
    seen = {q: [means[one.name] for one in run.plan.channels if one.quantity == q and one.name in means] for q in UNITS}
    wanted: dict[str, Measured] = {
        "line_volts": "input voltage",
        "amps": "input current",
        "power_factor": "power factor",
    }
    found = {name: fmean(values) for name, quantity in wanted.items() if (values := seen[quantity])}
    if len(found) < len(wanted):
        return {}
    if out := seen["output power"]:
        found["output_w"] = sum(out)
        found |= {"rpm": speeds[0]} if (speeds := seen["speed"]) else {}
    return found


def _is_empty(run: Run, loads: Mapping[str, Mapping[float, float]], at: float) -> bool:
    share = run.plan.share({name: seen[at] for name, seen in loads.items() if at in seen})
    return share is not None and share < EMPTY_SHARE
