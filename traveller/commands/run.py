"""Commands for the heat run of a unit: plan, start, readings, a logger's file, stop, judge, show."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, get_args

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json, taking_long, used
from traveller.commands.run_portrait import plan_lines, run_data, run_lines
from traveller.commands.unit import tag_argument
from traveller.counting import many
from traveller.errors import InputError
from traveller.quantities import read_quantity
from traveller.record.heat_runs.changes import Changes, changed
from traveller.record.heat_runs.times import read_moment
from traveller.record.rig_entries import TimeForm
from traveller.record.shifts import zone_of

if TYPE_CHECKING:
    from traveller.store.follower import Report, Said
    from traveller.store.workshop import Workshop

AT = click.option("--at", "at", default="", help="14:30 (today), 2026-12-01 14:30; else now.")


@click.group()
@tag_argument
@click.pass_context
def run(context: click.Context, tag: str) -> None:
    """The heat run of the unit TAG."""
    context.meta["traveller.run"] = tag


def _tag() -> str:
    return str(click.get_current_context().meta["traveller.run"])


def _moment(workshop: Workshop, text: str) -> datetime | None:
    return read_moment(text, zone_of(workshop.shop().zone), workshop.desk.clock()) if text.strip() else None


def _show(workshop: Workshop, json_wanted: bool) -> None:
    watched = workshop.heat_runs.watch(_tag())
    if json_wanted:
        say_json(run_data(watched))
        return
    for line in run_lines(watched, zone_of(workshop.shop().zone)):
        say(line)


@run.command()
@click.option("--rig", default="", help="Tag of the rig. Without it the plan is only shown.")
@click.option("--from", "begins", default="", help="When the rig is wanted; else now.")
@click.option("--steps", default="", help='On the way up: "25 % 10 min, 50 % 10 min".')
@click.option("--hold", default="", help="Minutes at full load.")
@click.option("--overload", default="", help='After the hold: "150 % 1 min".')
@click.option("--band", default="", help="Percent around rated, in the hold.")
@click.option("--every", default="", help="A reading is due so often (min).")
@click.option("--gap", default="", help="Longest time without a reading (min).")
@click.option("--criterion", default="", help="What counts as steady, by its name.")
@click.option("--channel", "channels", multiple=True, help='"NAME: QUANTITY, at most VALUE"; may be repeated.')
@click.option("--drop", multiple=True, help="A channel that is not measured; may be repeated.")
@as_json
@pass_caller
def plan(caller: Caller, /, rig: str, begins: str, as_json: bool, **wanted: Any) -> None:
    """Plan the run from the ratings, with what is to be other than usual, and book the rig for it."""
    with caller.workshop() as workshop:
        made = changed(workshop.heat_runs.suggested(_tag()), Changes(**wanted))
        if rig:
            workshop.heat_runs.plan(_tag(), rig, caller.by, made, _moment(workshop, begins))
            _show(workshop, as_json)
        elif as_json:
            say_json(made.model_dump(mode="json"))
        else:
            for line in plan_lines(made):
                say(line)
            say("Only shown: name the rig with --rig to plan it.")


@run.command()
@AT
@as_json
@pass_caller
def start(caller: Caller, at: str, as_json: bool) -> None:
    """Full power from here on; the unit counts as energised until it is measured dead."""
    with caller.workshop() as workshop:
        workshop.heat_runs.start(_tag(), caller.by, _moment(workshop, at))
        _show(workshop, as_json)


@run.command()
@click.argument("values", nargs=-1, required=True)
@AT
@click.option("--note", default="")
@as_json
@pass_caller
def reading(caller: Caller, values: tuple[str, ...], at: str, note: str, as_json: bool) -> None:
    """Enter readings: NAME=VALUE, one for each channel that was read ("hottest part=61.2")."""
    with caller.workshop() as workshop:
        typed = read_values(workshop, _tag(), values)
        workshop.heat_runs.reading(_tag(), caller.by, typed, _moment(workshop, at), note)
        _show(workshop, as_json)


def read_values(workshop: Workshop, tag: str, pairs: tuple[str, ...]) -> dict[str, float]:
    """NAME=VALUE, each in the unit of its channel."""
    known = workshop.heat_runs.watch(tag).run.plan
    found: dict[str, float] = {}
    for pair in pairs:
        name, equals, text = pair.partition("=")
        channel = known.channel(name)
        if not equals or channel is None:
            raise InputError(f'"{pair}": write NAME=VALUE, NAME one of {", ".join(c.name for c in known.channels)}.')
        found[channel.name] = read_quantity(text, channel.unit).value
    return found


def logger_options(command: Any) -> Any:
    options = (
        click.option("--time", "time_heading", default="", help="Heading of the column with the time."),
        click.option("--column", "columns", multiple=True, metavar="HEADING=CHANNEL", help="May be repeated."),
        click.option("--times", default=None, type=click.Choice(get_args(TimeForm))),
    )
    for option in reversed(options):
        command = option(command)
    return command


def _said(time_heading: str, columns: tuple[str, ...], times: Any) -> Said:
    from traveller.store.follower import Said

    pairs: Mapping[str, str] = dict(_pair(one) for one in columns)
    return Said(time_heading, pairs or None, times)


def _pair(text: str) -> tuple[str, str]:
    heading, equals, channel = text.rpartition("=")
    if not equals:
        raise InputError(f'"{text}": write HEADING=CHANNEL.')
    return heading, channel


def _report(done: Report) -> None:
    before = f", {many(done.kept_before, 'row')} kept before" if done.kept_before else ""
    say(f"{many(done.samples, 'sample')} kept in {many(done.chunks, 'chunk')}{before}")
    for gap in done.gaps:
        say(f"gap: {gap}")
    for fault in done.faults:
        say(f"! {fault.fault}: {fault.says}")


@run.command("import")
@click.argument("file", type=click.Path(path_type=Path))
@logger_options
@as_json
@pass_caller
def import_file(
    caller: Caller, file: Path, time_heading: str, columns: tuple[str, ...], times: Any, as_json: bool
) -> None:
    """Take in FILE of a logger (CSV): all of it or nothing. Which column is what is asked once for its headings."""
    from traveller.store.follower import IMPORTED_SECONDS, Follower

    again = "Import it again: what was taken in is not taken in twice."
    with taking_long(f"Reading {file}", again), caller.workshop() as workshop:
        said = _said(time_heading, columns, times)
        done = Follower(workshop, _tag(), caller.by, said, IMPORTED_SECONDS).take_all(file)
        if not as_json:
            _report(done)
        _show(workshop, as_json)


@run.command()
@click.argument("file")
@logger_options
@click.option("--until-end", is_flag=True, help="Stop where the file ends, instead of waiting for more.")
@pass_caller
def follow(caller: Caller, file: str, time_heading: str, columns: tuple[str, ...], times: Any, until_end: bool) -> None:
    """Follow FILE while a logger writes it, or - for standard input. Ends with Ctrl+C; begun again it goes on."""
    from traveller.store.follower import Follower, piped, tail

    with caller.workshop() as workshop:
        follower = Follower(workshop, _tag(), caller.by, _said(time_heading, columns, times))
        source = piped(sys.stdin) if file == "-" else tail(Path(file), until_end=until_end)
        try:
            _report(follower.follow(source, file, lambda words: click.echo(words, err=True)))
        except KeyboardInterrupt:
            say("no longer followed; what had come is kept")


@run.command()
@click.argument("fault")
@click.argument("how")
@as_json
@pass_caller
def settle(caller: Caller, fault: str, how: str, as_json: bool) -> None:
    """Say why the run counts although FAULT was found in its input (`show --json` names faults)."""
    with caller.workshop() as workshop:
        workshop.heat_runs.settle(_tag(), caller.by, fault, how)
        _show(workshop, as_json)


@run.command()
@click.argument("why")
@as_json
@pass_caller
def stop(caller: Caller, why: str, as_json: bool) -> None:
    """The load is off, and WHY; the rig is free. Then measure it dead, and judge the run."""
    with caller.workshop() as workshop:
        workshop.heat_runs.stop(_tag(), caller.by, why)
        _show(workshop, as_json)


@run.command()
@used
@as_json
@pass_caller
def judge(caller: Caller, instruments: tuple[str, ...], as_json: bool) -> None:
    """Judge the run that was stopped, and answer the checks that it proves."""
    with caller.workshop() as workshop:
        after = workshop.heat_runs.judge(_tag(), caller.by, instruments)
        _show(workshop, as_json)
        for why in after.judgement.unanswered if not as_json else ():
            say(f"not answered: {why}")
        if after.judgement.verdict == "fail" and not as_json:
            say(f"next: measure it dead, then `traveller move {_tag()} --back STATION --found ...`")


@run.command()
@as_json
@pass_caller
def show(caller: Caller, as_json: bool) -> None:
    """How the run stands: plan, hold, readings, temperatures, what is wrong, verdict."""
    with caller.workshop() as workshop:
        _show(workshop, as_json)


@click.command("heat-runs")
@as_json
@pass_caller
def heat_runs(caller: Caller, as_json: bool) -> None:
    """Every heat run at the load test, the running ones first."""
    with caller.workshop() as workshop:
        watched, zone = workshop.heat_runs.all(), zone_of(workshop.shop().zone)
    if as_json:
        say_json([run_data(one) for one in watched])
        return
    for one in watched:
        for line in run_lines(one, zone):
            say(line)
    say(many(len(watched), "run"))


COMMANDS: list[click.Command] = [run, heat_runs]
