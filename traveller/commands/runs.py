"""The command for runs that are counted."""

from __future__ import annotations

from typing import Any

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json, show_it, to_findings
from traveller.commands.unit import say_working, tag_argument
from traveller.errors import InputError
from traveller.record import runs as counting
from traveller.record.siblings import last_work
from traveller.runs_file import runs_in


@click.command()
@tag_argument
@click.argument("test", required=False, default="")
@click.option("--clean", type=click.IntRange(0), default=0, help="Clean runs made.")
@click.option("--failed", type=click.IntRange(0), default=0, help="Runs that failed.")
@click.option("--file", "path", default="", metavar="FILE", help="One line a run: ok or fail, 1 or 0, pass or fail.")
@click.option("--take-back", type=click.Choice(["clean", "failed"]), default=None, help="Your last one was a slip.")
@to_findings
@show_it
@as_json
@pass_caller
def runs(
    caller: Caller,
    tag: str,
    test: str,
    clean: int,
    failed: int,
    path: str,
    take_back: str | None,
    findings: bool,
    show_it: bool,
    as_json: bool,
) -> None:
    """Runs of a TEST ("warm start") as they were made: what the fault shows, and how many clean ones are missing."""
    counted = bool(clean or failed)
    if sum((counted, bool(path), bool(take_back))) > 1:
        raise InputError("One thing at a time: --clean and --failed, or --file, or --take-back.")
    if not (counted or path or take_back or findings or show_it):
        raise InputError("Give --clean and --failed, or --file, or --show.")
    if not test and not show_it:
        raise InputError('Name the test, for example "warm start".')
    with caller.workshop() as workshop:
        measuring = workshop.measuring
        if counted:
            measuring.runs(tag, caller.by, test, clean + failed, failed)
        if path:
            name, made = runs_in(path)
            since = counting.clean_at_the_end(made)
            measuring.runs(tag, caller.by, test, len(made), sum(made), since, source=name)
        if take_back:
            measuring.take_back_run(tag, caller.by, test, take_back == "failed")
        if findings:
            measuring.runs_into_findings(tag, caller.by, test)
        view = workshop.unit(tag)
    found = counting.find(view.unit.runs, test) if test else None
    wanted = [found] if found else [] if test else list(view.unit.runs.values())
    work = last_work(view.unit.disturbances)
    told = [(one.name, counting.outlook(one, work, view.judges)) for one in wanted]
    if as_json:
        say_json([_runs_data(name, one) for name, one in told])
        return
    for name, one in told:
        say(f"{name}: {one.sign} {one.says}")
        say(f"  before the repair: {one.before.failures} of {one.before.runs} failed")
        if one.after is not None:
            say(f"  after it: {one.after.failures} of {one.after.runs} failed, {one.after.clean} clean since")
        say_working(one.bound, one.working)
    if not told:
        say(f"{tag}: no runs were counted{f' of {test}' if test else ''}")


def _runs_data(name: str, one: counting.Outlook) -> dict[str, Any]:
    return {
        "test": name,
        "says": one.says,
        "before": {"runs": one.before.runs, "failures": one.before.failures},
        "after": {"runs": one.after.runs, "failures": one.after.failures, "clean": one.after.clean}
        if one.after is not None
        else None,
        "rate_to_beat": one.rate,
        "still_needed": one.still,
        "bound": one.bound.model_dump(mode="json") if one.bound else None,
    }


COMMANDS: list[click.Command] = [runs]
