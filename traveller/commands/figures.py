"""What the record adds up to, and units that come back."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING, Any, get_args

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json
from traveller.commands.unit import tag_argument, tell
from traveller.record.figures_in_words import lines
from traveller.record.return_entries import FaultAgain

if TYPE_CHECKING:
    from traveller.record.figures import Figures, Share

DANGEROUS = ("=", "+", "-", "@", "\t", "\r")
"""A cell that begins with one of these is taken for a formula by a spreadsheet (OWASP, CSV injection)."""


@click.command()
@as_json
@click.option("--csv", "as_csv", is_flag=True, help="Print CSV: figure, of what, value, unit.")
@pass_caller
def figures(caller: Caller, as_json: bool, as_csv: bool) -> None:
    """Returns, first-pass yield, time in each station, oldest waiting, parts that fail, instruments due."""
    with caller.workshop() as workshop:
        now = workshop.figures.now()
    if as_json:
        say_json(asdict(now))
    elif as_csv:
        say(_csv(now))
    else:
        for line in lines(now):
            say(line)


def _csv(now: Figures) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(("figure", "of", "value", "unit"))
    for row in _rows(now):
        writer.writerow(inert(cell) for cell in row)
    return out.getvalue().rstrip("\n")


def _rows(now: Figures) -> Iterator[tuple[Any, ...]]:
    yield "in work", "", now.in_work, "units"
    yield "released", "", now.released, "units"
    for name, share in (("came back", now.came_back), ("came back under warranty", now.came_back_covered)):
        yield from _share_rows(name, "", share)
    yield "same fault again", "", now.same_fault, "units"
    for one in now.stations:
        yield "here", one.station, one.here, "units"
        yield "median time", one.station, one.median_hours, "h"
        yield "mean time", one.station, one.mean_hours, "h"
        yield from _share_rows("first pass", one.station, one.first_pass)
    yield "rolled yield", "", now.rolled_yield, "fraction"
    yield "time through the shop", "", now.days_through, "d"
    for waiting in now.waiting:
        yield "in the house", f"{waiting.tag} {waiting.model}", round(waiting.days, 3), "d"
    for part in now.parts:
        yield "failed", f"{part.model}: {part.part}", part.count, "parts"
    for due in now.instruments:
        yield "calibration due", f"{due.tag} {due.name}", due.due, "date"


def _share_rows(name: str, of: str, share: Share) -> Iterator[tuple[Any, ...]]:
    yield name, of, share.count, f"of {share.of}"
    yield f"{name}, lower bound", of, share.lower, "fraction"
    yield f"{name}, upper bound", of, share.upper, "fraction"


def inert(cell: Any) -> Any:
    """A cell that no spreadsheet takes for a formula: text that begins like one gets an apostrophe in front."""
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(DANGEROUS) else cell


@click.command()
@tag_argument
@click.option("--earlier", default="", metavar="TAG", help="Its earlier traveller; left out: the latest one released.")
@click.option("--fault", type=click.Choice(get_args(FaultAgain)), required=True, help="Is it the same fault?")
@click.option("--reason", required=True, help="What shows it.")
@as_json
@pass_caller
def returned(caller: Caller, tag: str, earlier: str, fault: FaultAgain, reason: str, as_json: bool) -> None:
    """A unit came back: link it to its earlier traveller and decide its warranty."""
    with caller.workshop() as workshop:
        view = workshop.returns.link(tag, earlier or workshop.returns.latest(tag), caller.by, fault, reason)
        body = view.unit.returned
        tell(view, as_json, f"came back {body.in_words()}" if body else "linked")


COMMANDS: list[click.Command] = [figures, returned]
