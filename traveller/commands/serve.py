"""The command that shows the terminal in a browser."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from traveller.commands.root import Caller, pass_caller, say
from traveller.errors import InputError
from traveller.terminal import DATABASE_VARIABLE, database_url, keep_log

NOT_THERE = (
    "traveller serve needs the part for tablets, which is not installed here: "
    "pip install 'workshop-traveller[tablet]' (from a checkout: pip install '.[tablet]')."
)


@click.command()
@click.option("--host", metavar="ADDRESS", default="127.0.0.1", help="Where it listens; this machine only.")
@click.option("--port", type=click.IntRange(1, 65535), default=8040, show_default=True, help="And at which port.")
@click.option("--address", metavar="URL", default="", help="How browsers reach it, if through a web server of yours.")
@click.option(
    "--token-file",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    help="Keep the token there, so that a tablet stays known; else a new one at each start.",
)
@pass_caller
def serve(caller: Caller, host: str, port: int, address: str, token_file: Path | None) -> None:
    """Show the terminal in a browser, for a tablet at the bench. Prints the link that lets a browser in."""
    from traveller.serving.address import loopback, served_at
    from traveller.serving.token import kept_token, new_token

    host = loopback(host)
    at = served_at(address, host, port)
    shows_link = at_a_terminal()
    if token_file is None and not shows_link:
        raise InputError(
            "The link with its token is only printed at a terminal, so that it stands in no log: name a --token-file, "
            "or start it by hand."
        )
    token = kept_token(token_file) if token_file else new_token()
    try:
        from traveller.serving.door import Door
        from traveller.serving.front import Front, listen, terminal_command
        from traveller.serving.front import serve as run
    except ModuleNotFoundError as error:
        raise InputError(NOT_THERE) from error
    listening = listen(host, port)
    keep_log()
    os.environ[DATABASE_VARIABLE] = database_url(caller.database)
    say(f"The terminal is served at {at.origin}; Ctrl+C ends it.")
    if shows_link:
        show_link(f"{at.origin}/?token={token}")
    else:
        say(f"The link that lets a tablet in: {at.origin}/?token= and behind it what stands in {token_file}")
    run(Front(Door(at, token), terminal_command()), listening)


def show_link(link: str) -> None:
    """As a code for the camera of a tablet, dark on light whatever the terminal looks like, and in words."""
    from traveller.tags.code import link_text

    for line in link_text(link):
        say(click.style(line, fg="black", bg="bright_white"))
    say(f"Open this link once on each tablet, and show it to nobody else:\n{link}")


def at_a_terminal() -> bool:
    """Whether a person reads what is printed, and not a log."""
    return sys.stdout.isatty()


COMMANDS: list[click.Command] = [serve]
