"""The command for joints and defects counted."""

from __future__ import annotations

from typing import get_args

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json
from traveller.commands.unit import tag_argument
from traveller.record.inspection_entries import How, JointClass
from traveller.record.joints import classes_left, lines_left, standing_counts, sums
from traveller.record.view import UnitView


@click.command()
@tag_argument
@click.argument("joint_class", required=False, type=click.Choice([str(one) for one in JointClass]), default=None)
@click.option("--how", type=click.Choice(get_args(How)), default="by eye")
@click.option("--count", default="", help="How many joints of the class were looked at.")
@click.option("--defects", default="", help='Place and what is wrong: "C12 bridge; U3.4 void".')
@as_json
@pass_caller
def joints(
    caller: Caller, tag: str, joint_class: str | None, how: str, count: str, defects: str, as_json: bool
) -> None:
    """Count the joints and defects of one JOINT_CLASS; without one, show the counts and what is not seen yet."""
    with caller.workshop() as workshop:
        if joint_class:
            view = workshop.inspection.see(tag, caller.by, joint_class, how, count, defects)
        else:
            view = workshop.unit(tag)
    _show(view, as_json)


def _show(view: UnitView, json_wanted: bool) -> None:
    counts, left, lines = standing_counts(view.proof), classes_left(view.proof), lines_left(view.proof)
    defects, opportunities = sums(counts)
    if json_wanted:
        say_json(
            {
                "counts": [one.seen.model_dump(mode="json") for one in counts.values()],
                "defects": defects,
                "opportunities": opportunities,
                "not_seen": [str(one) for one in left],
                "not_verified": [one.reference for one in lines],
            }
        )
        return
    for joint_class, one in counts.items():
        say(f"{joint_class}: {one.in_words()}")
    say(f"{defects} defects in {opportunities} opportunities")
    say(f"not seen yet: {', '.join(left) or 'nothing'}")
    if lines:
        say(f"fitted and not verified: {', '.join(one.reference for one in lines)}")


COMMANDS: list[click.Command] = [joints]
