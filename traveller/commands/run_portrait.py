"""A heat run in words and as JSON, for the commands."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, tzinfo
from typing import Any

from traveller.record.heat_runs.plan import Plan
from traveller.record.heat_runs.watch import RunWatch, hold_words


def clock(at: datetime | None, zone: tzinfo) -> str:
    return f"{at.astimezone(zone):%Y-%m-%d %H:%M}" if at else "not known"


def plan_lines(plan: Plan) -> Iterator[str]:
    if plan.reform:
        yield f"first: {plan.reform}"
    yield "steps: " + ", ".join(step.in_words() for step in plan.steps)
    for channel in plan.channels:
        load = ""
        if channel.load and channel.rated:
            low, high = plan.band_of(channel)
            load = f", load: {channel.show(low)} to {channel.show(high)} in the hold"
        words = channel.limit_words()
        yield f"  {channel.name}: {channel.quantity} in {channel.unit}{load}{f', {words}' if words else ''}"
    yield (
        f"band ± {plan.band_percent:g} %, a reading every {plan.reading_minutes:g} min, "
        f"longest gap {plan.gap_minutes:g} min, steady: {plan.criterion}"
    )
    yield f"source: {plan.source}"


def run_lines(one: RunWatch, zone: tzinfo) -> Iterator[str]:
    run = one.run
    yield f"{one.tag}: run {run.state} on {run.rig}"
    if run.state == "planned":
        yield from plan_lines(run.plan)
        for ask in one.before_power:
            yield f"  still open before full power: {ask}"
    if run.started:
        yield f"started {clock(run.started, zone)}; {hold_words(one)}"
    for at, why in one.hold.restarted:
        yield f"  the hold began again at {at.astimezone(zone):%H:%M:%S}: {why}"
    if one.ends:
        yield f"ends {clock(one.ends, zone)}; next reading due {clock(one.due, zone)}"
    for channel in run.plan.channels:
        if channel.name in one.last:
            _, value = one.last[channel.name]
            mark = "✗ outside" if one.is_out(channel, value) else "✓"
            yield f"  {channel.name} {channel.show(value)} {mark} {channel.limit_words()}".rstrip()
    for heat in one.heats:
        yield f"  {heat.channel.name}: {heat.says}"
    for warning in one.warnings():
        yield f"! {warning}"
    if run.stopped:
        yield f"stopped {clock(run.stopped, zone)}: {run.why}"
    if run.judged:
        yield f"{run.judged.verdict.sign} {run.judged.verdict}"
        for part in run.judged.parts:
            yield f"  {part.finding.verdict.sign} {part.name}: {part.finding.says}"


def run_data(one: RunWatch) -> dict[str, Any]:
    run, hold = one.run, one.hold
    return {
        "tag": one.tag,
        "run": str(run.id),
        "state": run.state,
        "rig": run.rig,
        "plan": run.plan.model_dump(mode="json"),
        "still_open": list(one.before_power),
        "started": run.started,
        "stopped": run.stopped,
        "load_percent": one.share,
        "step": one.step,
        "hold": {
            "started": hold.started,
            "held_minutes": hold.held_minutes,
            "wanted_minutes": hold.wanted_minutes,
            "met_at": hold.met_at,
            "will_be_met_at": hold.will_be_met_at,
            "restarted": [{"at": at, "why": why} for at, why in hold.restarted],
        },
        "ends": one.ends,
        "next_reading_due": one.due,
        "last": {
            name: {"at": datetime.fromtimestamp(at, one.now.tzinfo), "value": v} for name, (at, v) in one.last.items()
        },
        "temperatures": [
            {
                "channel": heat.channel.name,
                "steady": heat.steady,
                "says": heat.says,
                "final_c": heat.figure("final_c"),
                "final_u_k": heat.figure("final_u_k"),
                "warning": heat.warning,
            }
            for heat in one.heats
        ],
        "faults": [{"key": fault.key, "says": fault.says} for fault in one.faults],
        "samples": sum(chunk.count for chunk in run.chunks),
        "verdict": run.judged.verdict if run.judged else None,
        "parts": [part.model_dump(mode="json") for part in run.judged.parts] if run.judged else [],
    }
