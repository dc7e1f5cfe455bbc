"""Commands for the findings of a unit and the customer's authority."""

from __future__ import annotations

from typing import Any, get_args

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json
from traveller.commands.unit import DAY, tag_argument, tell
from traveller.record.finding_entries import Advice, Investigated
from traveller.record.view import UnitView


@click.command()
@tag_argument
@click.option("--cause", "root_cause", default="", help="Why it failed; with it the findings are written anew.")
@click.option("--mechanism", default="", help="What went on in the part.")
@click.option("--mode", default="", help="How the fault shows.")
@click.option("--hours", default="0", help="Hours of work that the repair takes.")
@click.option("--rate", default="0", help="Rate per hour.")
@click.option("--parts", "parts_cost", default="0", help="What the parts cost.")
@click.option("--currency", default="EUR", show_default=True, help="Three letters.")
@click.option("--limit", "economic_limit", default="", help="Economic limit, if anybody knows it.")
@click.option("--advice", type=click.Choice(get_args(Advice)), default="repair")
@click.option("--look-again", type=DAY, default=None, help="With wait for authority: YYYY-MM-DD.")
@as_json
@pass_caller
def findings(caller: Caller, /, tag: str, look_again: Any, as_json: bool, **typed: str) -> None:
    """Write down what was found, the estimate and the advice; without --cause, show them."""
    with caller.workshop() as workshop:
        if typed["root_cause"]:
            view = workshop.findings.write(tag, caller.by, typed, look_again.date() if look_again else None)
        else:
            view = workshop.unit(tag)
    _show(view, as_json)


@click.command()
@tag_argument
@click.option("--who", required=True, help="Who of the customer.")
@click.option("--how", required=True, help="By mail, by telephone, by an order number.")
@click.option("--on", type=DAY, required=True, help="YYYY-MM-DD")
@click.option("--up-to", default="", help="The amount that the customer agrees to.")
@click.option("--currency", default="EUR", show_default=True, help="Three letters.")
@click.option("--refused", is_flag=True, help="The customer does not agree.")
@click.option("--why", default="", help="With --refused.")
@as_json
@pass_caller
def authority(
    caller: Caller,
    tag: str,
    who: str,
    how: str,
    on: Any,
    up_to: str,
    currency: str,
    refused: bool,
    why: str,
    as_json: bool,
) -> None:
    """Record the customer's authority to repair up to an amount, or that it was refused."""
    if refused == bool(up_to):
        raise click.UsageError("Give either --up-to AMOUNT or --refused.")
    with caller.workshop() as workshop:
        desk, day = workshop.findings, on.date()
        if refused:
            tell(desk.authority_refused(tag, caller.by, who, how, day, why), as_json, "refused")
        else:
            tell(desk.authority_given(tag, caller.by, who, how, day, up_to, currency), as_json, "authority recorded")


def _show(view: UnitView, json_wanted: bool) -> None:
    made = view.unit.findings_made
    says, todo = made.in_the_way()
    if json_wanted:
        say_json(
            {
                "findings": made.latest.said.model_dump(mode="json") if made.latest else None,
                "working": made.latest.working() if made.latest else (),
                "authority": made.authority.said.model_dump(mode="json") if made.authority else None,
                "in_the_way": says or None,
            }
        )
        return
    if made.latest is None:
        say(f"{view.unit.tag}: no findings written")
        return
    said: Investigated = made.latest.said
    facts = (("cause", said.root_cause), ("mechanism", said.mechanism), ("mode", said.mode), ("advice", said.advice))
    for head, text in facts:
        if text:
            say(f"{head}: {text}")
    for line in made.latest.working():
        say(line)
    if made.authority:
        say(f"authority {made.authority.in_words()}")
    if says:
        say(f"{says}: {todo}")
    say(f"next: {view.next_step()}")


COMMANDS: list[click.Command] = [findings, authority]
