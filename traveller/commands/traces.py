"""The command for signature traces."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json, show_it, to_findings, used
from traveller.commands.unit import say_working, tag_argument
from traveller.errors import InputError
from traveller.plots import REFERENCE, SUSPECT, trace_lines
from traveller.record import traces as tracing
from traveller.record.view import UnitView

WIDTH, HEIGHT = 76, 16


@click.command()
@tag_argument
@click.argument("node", required=False, default="")
@click.argument("file", required=False, default="")
@click.option("--good/--suspect", "good", default=None, help="What the file shows.")
@click.option("--against", default="", metavar="FILE", help="A good trace at the same two points, kept as well.")
@used
@to_findings
@show_it
@as_json
@pass_caller
def trace(
    caller: Caller,
    tag: str,
    node: str,
    file: str,
    good: bool | None,
    against: str,
    instruments: tuple[str, ...],
    findings: bool,
    show_it: bool,
    as_json: bool,
) -> None:
    """A signature trace at NODE (U7.3) from FILE: two columns, volts and amps. Compared where both are known."""
    if file and good is None:
        raise InputError("Say what the file shows: --good, or --suspect.")
    if not file and not show_it and not findings:
        raise InputError("Name the node and the file of the trace, or --show.")
    with caller.workshop() as workshop:
        measuring = workshop.measuring
        if against:
            measuring.trace(tag, caller.by, node, "good", against, instruments)
        if file:
            measuring.trace(tag, caller.by, node, "good" if good else "suspect", file, instruments)
        if findings:
            measuring.trace_into_findings(tag, caller.by, node)
        view, elsewhere = workshop.unit(tag), measuring.good_traces(tag)
    told = list(_compared(view, elsewhere, node.strip().upper()))
    if as_json:
        say_json([_trace_data(name, one) for name, one in told])
        return
    for name, one in told:
        say(f"{name}: {one.finding.verdict.sign if one.finding else '·'} {one.says}")
        say(f"  {one.learned.says}")
        reference, suspect = ((t.points if t else ()) for t in (one.reference, one.suspect))
        for line in trace_lines(reference, suspect, one.worst_voltage, WIDTH, HEIGHT):
            say(f"  {line}")
        say(f"  {REFERENCE} reference  {SUSPECT} suspect")
        say_working(one.finding, one.learned.working)
    if not told:
        say(f"{tag}: nothing was traced{f' at {node}' if node else ''}")


def _compared(
    view: UnitView, elsewhere: dict[str, list[tracing.Trace]], node: str
) -> Iterator[tuple[str, tracing.Compared]]:
    for name, found in view.unit.traces.items():
        if not node or name == node:
            yield name, tracing.compared(view.unit.tag, found, elsewhere.get(name, ()), view.judges)


def _trace_data(node: str, one: tracing.Compared) -> dict[str, Any]:
    return {
        "node": node,
        "says": one.says,
        "limit_percent": one.learned.percent,
        "good_siblings": one.learned.rests_on,
        "limit_says": one.learned.says,
        "finding": one.finding.model_dump(mode="json") if one.finding else None,
        **{
            role: {"unit": t.tag, "file": t.file, "sha256": t.sha256, "points": len(t.points), "taken": t.taken}
            if t
            else None
            for role, t in (("reference", one.reference), ("suspect", one.suspect))
        },
    }


COMMANDS: list[click.Command] = [trace]
