"""Commands for the bags of moisture-sensitive parts."""

from __future__ import annotations

from typing import get_args

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json
from traveller.commands.unit import tag_argument, tell
from traveller.record.moisture import ClockLine
from traveller.record.moisture_entries import Oven


@click.group()
def moisture() -> None:
    """Moisture-sensitive parts: open a bag, close it, bake, list the clocks."""


@moisture.command("open")
@tag_argument
@click.argument("references")
@click.argument("level")
@click.option("--body", default="", help="Thickness of the body in mm.")
@click.option("--out", default="", help="Hours that the bag was open before now.")
@click.option("--label", default="", help="Hours that the label allows; needed for level 6.")
@as_json
@pass_caller
def open_bag(
    caller: Caller, tag: str, references: str, level: str, body: str, out: str, label: str, as_json: bool
) -> None:
    """The bag of the parts for REFERENCES, moisture LEVEL as printed on it (3, 2a, 5a), is open from now on."""
    with caller.workshop() as workshop:
        view = workshop.bags.open(tag, references, level, caller.by, body, out, label)
        tell(view, as_json, "; ".join(clock_words(one) for one in workshop.bags.clocks(view)))


@moisture.command("close")
@tag_argument
@click.argument("references")
@as_json
@pass_caller
def close_bag(caller: Caller, tag: str, references: str, as_json: bool) -> None:
    """The parts lie dry again, at no more than 10 % humidity."""
    with caller.workshop() as workshop:
        view = workshop.bags.close(tag, references, caller.by)
        tell(view, as_json, "; ".join(clock_words(one) for one in workshop.bags.clocks(view)))


@moisture.command("bake")
@tag_argument
@click.argument("references")
@click.argument("hours")
@click.option("--at", "oven", type=click.Choice(get_args(Oven)), default="125", help="Oven in °C.")
@click.option("--body", default="", help="Thickness of the body in mm, if it was not typed before.")
@as_json
@pass_caller
def bake(caller: Caller, tag: str, references: str, hours: str, oven: str, body: str, as_json: bool) -> None:
    """The parts were baked for HOURS: their clocks start anew."""
    with caller.workshop() as workshop:
        view = workshop.bags.bake(tag, references, hours, caller.by, oven, body)
        tell(view, as_json, "; ".join(clock_words(one) for one in workshop.bags.clocks(view)))


@moisture.command("list")
@tag_argument
@as_json
@pass_caller
def list_clocks(caller: Caller, tag: str, as_json: bool) -> None:
    """Every clock of a part that is not fitted yet, what runs out first first."""
    with caller.workshop() as workshop:
        lines = workshop.bags.clocks(workshop.unit(tag))
    if as_json:
        say_json([vars(line) for line in lines])
        return
    for line in lines:
        say(clock_words(line))
    say(f"{len(lines)} clocks" if lines else "no clocks")


def clock_words(line: ClockLine) -> str:
    runs = "ran" if line.state == "over" else "runs"
    ends = f", {runs} out {line.runs_out_at:%Y-%m-%d %H:%M}Z" if line.runs_out_at else ""
    return f"{line.sign} {line.reference} level {line.msl}: {line.says}{ends}"


COMMANDS: list[click.Command] = [moisture]
