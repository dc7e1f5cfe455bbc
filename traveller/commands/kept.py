"""Commands for what was kept at this terminal while the database was away."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any
from uuid import UUID

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json
from traveller.terminal import home

if TYPE_CHECKING:
    from traveller.record.acts.afterwards import Kept


@click.group()
def kept() -> None:
    """What was done here while the database was away, and is not yet on the record."""


def _data(one: Kept, why: tuple[str, ...] = ()) -> dict[str, Any]:
    facts = {"id": str(one.id), "tag": one.tag, "says": one.deed.says(), "by": one.by, "at": one.at.isoformat()}
    return {**facts, "on_the_record": list(why)}


@kept.command("list")
@as_json
def list_kept(as_json: bool) -> None:
    """What waits to be shared, and what somebody has to decide about. Needs no database."""
    from traveller.store.keepsafe import Keepsafe

    pile = Keepsafe(home()).pile()
    waiting, questions = list(pile.waiting.values()), list(pile.questions.values())
    if as_json:
        asked = [_data(one.kept, one.why) for one in questions]
        say_json({"waiting": [_data(one) for one in waiting], "to_decide": asked})
        return
    for question in questions:
        one = question.kept
        say(f"? {one.id}  {one.tag}  yours: {one.deed.says()}, {one.by} at {one.at:%Y-%m-%d %H:%M}Z")
        for line in question.why:
            say(f"    on the record: {line}")
    for one in waiting:
        say(f"⇡ {one.id}  {one.tag}  {one.deed.says()}, {one.by} at {one.at:%Y-%m-%d %H:%M}Z")
    say(f"kept here, not yet shared: {len(waiting)}; to decide: {len(questions)}")


@kept.command()
@pass_caller
def deliver(caller: Caller) -> None:
    """Share what waits, in order. The terminal does it by itself as soon as the database is back."""
    with caller.workshop() as workshop:
        done = workshop.keeping.deliver()
        say(f"{done} shared, {len(workshop.keeping.questions())} to decide")


@kept.command("put")
@click.argument("which", type=UUID, metavar="ID")
@pass_caller
def put(caller: Caller, which: UUID) -> None:
    """Put what was kept on top of what stands on the record; look at both first."""
    with caller.workshop() as workshop:
        workshop.shop()
        say(f"{workshop.keeping.put_on_top(which, caller.by)}: on the record")


@kept.command()
@click.argument("which", type=UUID, metavar="ID")
@click.option("--because", required=True)
@pass_caller
def drop(caller: Caller, which: UUID, because: str) -> None:
    """Drop what was kept, with a reason; both stay in the file dropped.jsonl of this terminal."""
    with caller.workshop() as workshop:
        workshop.shop()
        workshop.keeping.drop(which, caller.by, because)
        say("dropped")


COMMANDS: list[click.Command] = [kept]
