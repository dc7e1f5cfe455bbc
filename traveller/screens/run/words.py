"""The lines of a run as its screens paint them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.text import Text

from traveller.screens.words import time_words

if TYPE_CHECKING:
    from traveller.record.heat_runs.channels import Channel
    from traveller.record.heat_runs.plan import Plan
    from traveller.record.heat_runs.watch import RunWatch

LONGEST_BAR = 12


def head(one: RunWatch, rig: str) -> Text:
    """What runs where."""
    plate = one.view.unit.nameplate
    what = f"{plate.maker} {plate.model}" if plate else ""
    words = Text(f"{one.tag}  {what}", style="bold", no_wrap=True, overflow="ellipsis")
    words.append(f"  {one.run.state} on {rig}", style="not bold")
    if one.run.judged:
        verdict = one.run.judged.verdict
        words.append(f"  {verdict.sign} {verdict}", style="bold")
    return words


def steps(one: RunWatch) -> Text:
    """The plan in order: done ✓, now ▸, to come ·."""
    line = Text(no_wrap=True, overflow="ellipsis")
    for place, step in enumerate(one.run.plan.steps):
        done = place < one.step or (step.what == "hold" and one.hold.met)
        sign = "✓" if done else "▸" if place == one.step and one.run.state == "running" else "·"
        name = "" if step.what == "raise" else f"{step.what} "
        line.append(f"{sign} {name}{step.percent:g} % {step.minutes:g} min", style="bold" if sign == "▸" else "")
        line.append("   ")
    return line


def hold_line(one: RunWatch, zone: str) -> Text:
    """How far the hold is, when it is met, what is due next."""
    from traveller.record.heat_runs.watch import hold_words

    hold = one.hold
    share = min(1.0, hold.held_minutes / hold.wanted_minutes)
    full = int(share * LONGEST_BAR)
    line = Text(f"{'■' * full}{'□' * (LONGEST_BAR - full)} {hold_words(one)}", no_wrap=True, overflow="ellipsis")
    if one.run.state == "running" and one.ends:
        word = "met at" if hold.met else "will be met" if hold.started else "ends about"
        line.append(f" · {word} {time_words(one.ends, zone, with_day=False)}", style="bold")
        line.append(f" · read by {time_words(one.due, zone, with_day=False)}")
    return line


def channel_words(plan: Plan, channel: Channel) -> str:
    """What is measured, and where it has to lie."""
    limits = channel.limit_words()
    if channel.load and channel.rated:
        low, high = plan.band_of(channel)
        limits = f"load, {channel.show(low)} to {channel.show(high)} in the hold"
    return f"· {channel.name}: {channel.quantity}, {limits or 'no limit'}"


def short_hold(one: RunWatch, zone: str) -> list[Text]:
    """The same on two short lines, for runs side by side."""
    from traveller.record.heat_runs.watch import hold_words

    if one.run.state != "running" or not one.ends:
        return [Text(hold_words(one)), Text("")]
    word = "met at" if one.hold.met else "will be met" if one.hold.started else "ends about"
    due = time_words(one.due, zone, with_day=False)
    when = f"{word} {time_words(one.ends, zone, with_day=False)} · read again by {due}"
    return [Text(hold_words(one)), Text(when, style="bold")]


def value(one: RunWatch, channel: Channel) -> str:
    """The newest value without its unit, for the big figures."""
    seen = one.last.get(channel.name)
    if seen is None:
        return "--"
    size = abs(seen[1])
    return f"{seen[1]:.2f}" if size < 10 else f"{seen[1]:.1f}" if size < 1000 else f"{seen[1]:.0f}"


def under(one: RunWatch, channel: Channel) -> Text:
    """Name, unit and whether it is inside: sign and word, never only colour."""
    seen = one.last.get(channel.name)
    if seen is None:
        return Text(f"{channel.name} {channel.unit}", style="dim")
    out = one.is_out(channel, seen[1])
    return Text(f"{'✗' if out else '✓'} {channel.name} {channel.unit}", style="bold" if out else "")


def readings(one: RunWatch) -> Text:
    """Every channel on one line, where there is no room for big figures."""
    parts = [
        f"{channel.name} {channel.show(one.last[channel.name][1])}"
        f"{' ✗ outside' if one.is_out(channel, one.last[channel.name][1]) else ''}"
        for channel in one.run.plan.channels
        if channel.name in one.last
    ]
    return Text("  ".join(parts) or "no reading yet", no_wrap=True, overflow="ellipsis")


def notices(one: RunWatch, zone: str) -> list[str]:
    """What must be known now; then what is said of the temperatures; before the start, what is still to do."""
    lines = [f"! {words}" for words in one.warnings()]
    if one.run.state == "planned":
        lines += [f"· reform first: {one.reform}"] if one.reform else []
        lines += [f"· before full power: {ask}" for ask in one.before_power]
    else:
        lines += [f"{heat.channel.name}: {heat.says}" for heat in one.heats if not heat.warning]
    if one.hold.restarted:
        at, why = one.hold.restarted[-1]
        times = len(one.hold.restarted) + one.hold.untold
        often = f", {times} times in all" if times > 1 else ""
        lines.append(f"the hold began anew after {time_words(at, zone, with_day=False)}: {why}{often}")
    if one.run.stopped:
        lines.append(f"stopped: {one.run.why}")
    since = [entry for entry in one.view.unit.notes if entry.at >= one.run.planned]
    lines += [f"note: {getattr(entry.body, 'text', '')}" for entry in since[-1:]]
    return lines


def load_curves(one: RunWatch) -> dict[str, list[tuple[float, float]]]:
    """The load channels in percent of rated."""
    return {
        channel.name: [(at, 100 * seen / channel.rated) for at, seen in one.curves.get(channel.name, ())]
        for channel in one.run.plan.load_channels
        if channel.rated
    }


def band(one: RunWatch) -> tuple[float, float]:
    full = one.run.plan.hold.percent
    return full * (1 - one.run.plan.band_percent / 100), full * (1 + one.run.plan.band_percent / 100)


def heat_curves(one: RunWatch) -> dict[str, list[tuple[float, float]]]:
    return {c.name: list(one.curves.get(c.name, ())) for c in one.run.plan.channels if c.unit == "°C"}


def heat_limits(one: RunWatch) -> list[float]:
    return sorted({c.at_most for c in one.run.plan.channels if c.is_heat and c.at_most is not None})


def verdict_lines(one: RunWatch) -> list[Text]:
    """Every part of the verdict with its working."""
    if one.run.judged is None:
        return [Text("Not judged yet: j judges a run that was stopped.")]
    lines: list[Text] = []
    for part in one.run.judged.parts:
        found = part.finding
        lines.append(Text(f"{found.verdict.sign} {found.verdict}  {part.name}: {found.says}", style="bold"))
        lines += [Text(f"    {line}", style="dim") for line in found.working]
        lines += [Text(f"    limit {found.limit}; {found.source}", style="dim")] if found.limit or found.source else []
    return lines
