"""Commands that decide whether and how a unit leaves."""

from __future__ import annotations

from typing import Any, get_args
from uuid import UUID

import click

from traveller.commands.portrait import reason_data
from traveller.commands.root import Caller, as_json, pass_caller, say, say_json
from traveller.commands.secret import own_pin
from traveller.commands.unit import tag_argument, tell
from traveller.record.acts.route import statement_for
from traveller.record.entries import Outcome


@click.command()
@tag_argument
@click.argument("found", required=False, default="")
@click.option("--check", default="", help="The check that found it.")
@click.option("--close", "closes", type=UUID, default=None, help="Close this one; --how says how.")
@click.option("--concede", "concedes", type=UUID, default=None, help="Concession for this one (shift lead).")
@click.option("--how", default="", help="How it was put right, or why it may leave as it is.")
@click.option("--customers-word", default="", help="Who of the customer agreed, when and how.")
@as_json
@pass_caller
def nonconformity(
    caller: Caller,
    tag: str,
    found: str,
    check: str,
    closes: UUID | None,
    concedes: UUID | None,
    how: str,
    customers_word: str,
    as_json: bool,
) -> None:
    """Raise a nonconformity, close one, or grant a concession for one."""
    with caller.workshop() as workshop:
        if closes:
            tell(workshop.close_nonconformity(tag, closes, caller.by, how), as_json, "closed")
        elif concedes:
            tell(workshop.concede(tag, concedes, caller.by, how, customers_word), as_json, "conceded")
        else:
            tell(workshop.raise_nonconformity(tag, caller.by, found, check), as_json, "raised")


@click.command()
@tag_argument
@click.argument("outcome", type=click.Choice(get_args(Outcome)))
@click.argument("reason")
@click.option("--customers-word", default="", help="Who of the customer agreed, when and how.")
@as_json
@pass_caller
def decide(caller: Caller, tag: str, outcome: Any, reason: str, customers_word: str, as_json: bool) -> None:
    """Decide what becomes of a unit (shift lead)."""
    with caller.workshop() as workshop:
        tell(workshop.decide(tag, caller.by, outcome, reason, customers_word), as_json, f"decided: {outcome}")


@click.command("new-sheets")
@tag_argument
@click.argument("reason")
@as_json
@pass_caller
def new_sheets(caller: Caller, tag: str, reason: str, as_json: bool) -> None:
    """Work a unit by the present editions of the checklists (shift lead)."""
    with caller.workshop() as workshop:
        tell(workshop.move_to_present_sheets(tag, caller.by, reason), as_json, "moved to the present sheets")


@click.command()
@tag_argument
@as_json
@click.pass_context
@pass_caller
def gate(caller: Caller, context: click.Context, tag: str, as_json: bool) -> None:
    """Say whether a unit may leave, and if not, every reason. Status 1 when it may not."""
    with caller.workshop() as workshop:
        view = workshop.unit(tag)
    if as_json:
        say_json({"tag": tag, "may_leave": not view.reasons, "reasons": [reason_data(r) for r in view.reasons]})
    elif view.reasons:
        for reason in view.reasons:
            click.echo(f"{reason.says}: {reason.todo}", err=True)
    else:
        say(f"{tag} may leave: every check that it needs is done, passed and not stale.")
    context.exit(1 if view.reasons else 0)


@click.command()
@tag_argument
@click.option("--statement", default="", help="What is released; a plain statement is made if left out.")
@as_json
@pass_caller
def release(caller: Caller, tag: str, statement: str, as_json: bool) -> None:
    """Sign a unit out, with the PIN. Refused with the reasons while the gate is not empty."""
    pin = own_pin()
    with caller.workshop() as workshop:
        view = workshop.unit(tag)
        words = statement or statement_for(view)
        tell(workshop.release(tag, caller.by, pin, words), as_json, "released; its traveller is sealed")


COMMANDS: list[click.Command] = [nonconformity, decide, new_sheets, gate, release]
