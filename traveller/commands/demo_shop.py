"""The command that builds the invented workshop and opens it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from traveller.commands.root import Caller, open_terminal, pass_caller, say
from traveller.errors import Refused
from traveller.shipped import load_package, shipped_folder
from traveller.terminal import home

if TYPE_CHECKING:
    from traveller.store.workshop import Workshop


class HalfBuilt(Exception):
    """Somebody stopped the building."""


def throw_away(url: str) -> None:
    """The files of an embedded database; one on a server is left alone."""
    path = Path(url.removeprefix("sqlite:///"))
    if "://" not in url.replace("sqlite:///", ""):
        for part in (path, Path(f"{path}-wal"), Path(f"{path}-shm")):
            part.unlink(missing_ok=True)


@click.command()
@click.option("--no-terminal", is_flag=True, help="Only build it.")
@click.option("--afresh", is_flag=True, help="Throw an earlier demo workshop away first.")
@pass_caller
def demo(caller: Caller, no_terminal: bool, afresh: bool) -> None:
    """Build an invented workshop with some sixty units in work, and open it."""
    url = caller.database or str(home() / "demo.sqlite")
    if afresh:
        throw_away(url)
    try:
        with Caller(url, caller.person).workshop() as workshop:
            if not workshop.shop().people:
                build(workshop)
            elif not workshop.shop().demo:
                raise Refused(f"{url} holds a real shop: the demo goes into a database of its own.")
    except HalfBuilt:
        throw_away(url)
        raise Refused("Stopped. Nothing of the demo workshop is kept.") from None
    say(f"The demo workshop is in {url}")
    if not no_terminal:
        open_terminal(url)


def build(workshop: Workshop) -> None:
    """Says how far it is; Ctrl+C throws away what is half built, so that it is never taken for a whole one."""

    def heard(begun: int, over: int, of: int) -> None:
        click.echo(f"\r{begun} of {of} units begun, {over} as far as they come ", nl=begun == over == of, err=True)

    say("Building the demo workshop; this takes half a minute. Ctrl+C stops it.")
    try:
        load_package("traveller_demo", shipped_folder("demo")).build(workshop, heard)
    except KeyboardInterrupt:
        raise HalfBuilt from None


COMMANDS: list[click.Command] = [demo]
