"""The command that builds the invented workshop and opens it."""

from __future__ import annotations

from pathlib import Path

import click

from traveller.commands.root import Caller, open_terminal, pass_caller, say
from traveller.errors import Refused
from traveller.shipped import load_package, shipped_folder
from traveller.terminal import home


@click.command()
@click.option("--no-terminal", is_flag=True, help="Only build it.")
@click.option("--afresh", is_flag=True, help="Throw an earlier demo workshop away first.")
@pass_caller
def demo(caller: Caller, no_terminal: bool, afresh: bool) -> None:
    """Build an invented workshop with some sixty units in work, and open it."""
    url = caller.database or str(home() / "demo.sqlite")
    path = Path(url.removeprefix("sqlite:///"))
    if afresh and "://" not in url.replace("sqlite:///", ""):
        for part in (path, Path(f"{path}-wal"), Path(f"{path}-shm")):
            part.unlink(missing_ok=True)
    with Caller(url, caller.person).workshop() as workshop:
        if not workshop.shop().people:
            say("Building the demo workshop; this takes some seconds ...")
            load_package("traveller_demo", shipped_folder("demo")).build(workshop)
        elif not workshop.shop().demo:
            raise Refused(f"{url} holds a real shop: the demo goes into a database of its own.")
    say(f"The demo workshop is in {url}")
    if not no_terminal:
        open_terminal(url)


COMMANDS: list[click.Command] = [demo]
