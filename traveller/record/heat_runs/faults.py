"""What is wrong with the input of a run: found and said, and until somebody has settled it the run does not pass."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime

from traveller.record.heat_runs.channels import BY_HAND, Channel
from traveller.record.heat_runs.plan import Plan
from traveller.record.heat_runs.run import NOTHING, Fresh, Run
from traveller.record.heat_runs.times import span_words
from traveller.record.run_entries import InputFault, SamplesKept, Summary

# All common practice: wide enough that no sound logger is doubted, narrow enough that a slip of a column is seen.
HEAT_POSSIBLE, HEAT_LIKELY = (-40.0, 300.0), (-10.0, 200.0)
"""°C: what a sensor in a unit can read at all, and what it reads in a run."""
TIMES_THE_PLAN = 1.5
"""Times the highest step of the plan: more than that no channel reads."""
LIKELY_SHARE, THOUSAND = (0.05, 1.5), (100.0, 3000.0)
"""Shares of the rated value: those of a run, and those of a column that is in thousandths."""
CALM, CALM_PATIENCE = ("ambient", "power factor"), 3
AMBIENT_ABOVE_K, LOADED_SHARE = 5.0, 50.0
"""K by which the air may be warmer than a part, from this load (%) on."""


def open_faults(run: Run, now: datetime, fresh: Fresh = NOTHING) -> list[InputFault]:
    """Everything that nobody has settled yet, each kind once for each channel."""
    return [one for one in faults(run, now, fresh) if one.key not in run.settled]


def faults(run: Run, now: datetime, fresh: Fresh = NOTHING) -> list[InputFault]:
    """What was said as it came in, and what the kept summaries show by themselves."""
    first: dict[str, InputFault] = {}
    for fault in (*run.found(), *_shown(run, now, fresh)):
        first.setdefault(fault.key, fault)
    return list(first.values())


def _shown(run: Run, now: datetime, fresh: Fresh) -> Iterator[InputFault]:
    for chunk in run.chunks:
        yield from (one for one in misfits(run.plan, chunk) if not _was_typed(run, chunk, one))
    if run.chunks:
        yield from _dead(run)
        yield from _a_thousandth(run)
    if run.chunks and not run.stopped:
        yield from _silent(run, fresh.heard or run.heard or now, now)


def _was_typed(run: Run, chunk: SamplesKept, fault: InputFault) -> bool:
    """The logger has no column for what a person reads from a meter."""
    channel = run.plan.channel(fault.channel)
    by_hand = channel is not None and channel.quantity in BY_HAND and fault.fault == "channel missing"
    no_column = all(one.name != fault.channel for one in chunk.channels)
    return by_hand and no_column and any(fault.channel in one.values for one in run.readings)


def misfits(plan: Plan, chunk: SamplesKept) -> Iterator[InputFault]:
    """Values that cannot be what their channel says: missing, swapped, in another unit, impossible."""
    known = {one.name: one for one in chunk.channels if one.count}
    at = chunk.begins
    for channel in plan.channels:
        if channel.name not in known:
            yield _fault("channel missing", f"{channel.name}: no number came", at, channel)
    odd = [one for one in plan.channels if one.name in known and not _possible(one, known[one.name], plan)]
    for channel in odd:
        yield _misfit(plan, channel, known, at)
    yield from _warm_ambient(plan, known, at)


def _misfit(plan: Plan, channel: Channel, known: Mapping[str, Summary], at: datetime) -> InputFault:
    mean = known[channel.name].mean
    for other in plan.channels:
        theirs = known.get(other.name)
        alike = other.quantity == channel.quantity
        if theirs and not alike and _likely(other, mean) and _likely(channel, theirs.mean):
            says = f"{channel.name} reads {mean:.4g} and {other.name} {theirs.mean:.4g}: their columns look swapped"
            return _fault("columns swapped", says, at, channel)
    shown = channel.show(mean)
    if _thousandfold(channel, known[channel.name]):
        return _fault("wrong by 1000", f"{channel.name} reads {shown}: is the column in thousandths?", at, channel)
    says = f"{channel.name} reads {shown}, which cannot be here: another column, or another unit?"
    return _fault("implausible", says, at, channel)


def _possible(channel: Channel, seen: Summary, plan: Plan) -> bool:
    if channel.unit == "°C":
        return HEAT_POSSIBLE[0] <= seen.least and seen.most <= HEAT_POSSIBLE[1]
    if channel.quantity == "power factor":
        return seen.least >= -1 and seen.most <= 1
    if channel.rated is None:
        return True
    most = channel.rated * TIMES_THE_PLAN * max(1.0, plan.highest_percent / 100)
    return -0.1 * channel.rated <= seen.least and seen.most <= most


def _likely(channel: Channel, value: float) -> bool:
    if channel.unit == "°C":
        return HEAT_LIKELY[0] <= value <= HEAT_LIKELY[1]
    return channel.rated is not None and LIKELY_SHARE[0] <= value / channel.rated <= LIKELY_SHARE[1]


def _thousandfold(channel: Channel, seen: Summary) -> bool:
    if channel.unit == "°C":
        return _likely(channel, seen.mean / 1000) and seen.mean / 1000 > 1
    return channel.rated is not None and THOUSAND[0] <= seen.most / channel.rated <= THOUSAND[1]


def _warm_ambient(plan: Plan, known: Mapping[str, Summary], at: datetime) -> Iterator[InputFault]:
    """Under load no part is colder than the air that cools it."""
    share = plan.share({one.name: known[one.name].mean for one in plan.load_channels if one.name in known})
    if share is None or share < LOADED_SHARE:
        return
    for air in (one for one in plan.channels if one.quantity == "ambient" and one.name in known):
        for part in (one for one in plan.channels if one.is_heat and one.name in known):
            if known[air.name].mean > known[part.name].mean + AMBIENT_ABOVE_K:
                says = f"{air.name} is warmer than {part.name} under load: are the two columns swapped?"
                yield _fault("columns swapped", says, at, air)


def _dead(run: Run) -> Iterator[InputFault]:
    """A live channel always moves a little; ambient and power factor may stand still for three times as long."""
    for channel in run.plan.channels:
        patience = run.plan.dead_minutes * (CALM_PATIENCE if channel.quantity in CALM else 1)
        since: datetime | None = None
        level: float | None = None
        for chunk in run.chunks:
            seen = next((one for one in chunk.channels if one.name == channel.name and one.count), None)
            if seen is None or seen.least != seen.most or (level is not None and seen.most != level):
                since, level = None, None
            if seen is not None and seen.least == seen.most:
                since, level = since or chunk.begins, seen.most
                minutes = (chunk.ends - since).total_seconds() / 60
                if minutes >= patience:
                    says = f"{channel.name} has stood at exactly {channel.show(level)} for {span_words(minutes)}"
                    yield _fault("channel dead", f"{says}: is the sensor dead?", since, channel)
                    break


def _a_thousandth(run: Run) -> Iterator[InputFault]:
    """Never more than about a thousandth of rated, though the first steps are over."""
    begun = run.started or run.chunks[0].begins
    first = sum(step.minutes for step in run.plan.steps[:1])
    for channel in run.plan.channels:
        seen = [one.most for chunk in run.chunks for one in chunk.channels if one.name == channel.name and one.count]
        if not seen or channel.rated is None or (run.chunks[-1].ends - begun).total_seconds() < first * 60:
            continue
        share = max(seen) / channel.rated
        if 0 < share <= 1 / THOUSAND[0] and share >= 1 / THOUSAND[1]:
            says = f"{channel.name} never read more than {channel.show(max(seen))}, about a thousandth of rated"
            yield _fault("wrong by 1000", f"{says}: is the column in thousands, or is there no load?", begun, channel)


def _silent(run: Run, heard: datetime, now: datetime) -> Iterator[InputFault]:
    minutes = (now - heard).total_seconds() / 60
    typed_since = any(one.taken > run.chunks[-1].ends for one in run.readings)
    if minutes > run.plan.gap_minutes and not typed_since:
        says = f"nothing has come from the logger for {span_words(minutes)}: follow it again, or read by hand"
        yield InputFault(fault="stream stopped", says=says, at=heard)


def _fault(kind: str, says: str, at: datetime, channel: Channel) -> InputFault:
    return InputFault.model_validate({"fault": kind, "says": says, "at": at, "channel": channel.name})
