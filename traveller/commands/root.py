"""The command `traveller` itself: its options, and the terminal when no command is given."""

from __future__ import annotations

import gc
import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from traveller import __version__
from traveller.commands.secret import need_no_password
from traveller.errors import InputError, Refused, TravellerError
from traveller.terminal import database_url, home, load_settings, stations_folder

if TYPE_CHECKING:
    from traveller.screens.app import TravellerApp
    from traveller.store.workshop import Workshop

GROUPS = (
    "unit",
    "leaving",
    "work",
    "siblings",
    "traces",
    "runs",
    "parts",
    "moisture",
    "looking",
    "kept",
    "shop",
    "labels",
    "thermal",
    "photo",
    "findings",
    "inspection",
    "keeping",
    "papers",
    "card",
    "figures",
    "exchange",
    "calculate",
    "rig",
    "run",
    "briefing",
    "handing_over",
    "shifts",
    "demo_shop",
    "demo_logger",
    "serve",
)


@dataclass(frozen=True)
class Caller:
    """Who calls, against which database."""

    database: str
    person: str

    @contextmanager
    def workshop(self) -> Iterator[Workshop]:
        from traveller.store.workshop import Workshop

        workshop = Workshop.open(
            database_url(self.database), terminal=load_settings().name, overlay=stations_folder(), folder=home()
        )
        workshop.keeping.keeps = False
        try:
            yield workshop
        finally:
            workshop.close()

    @property
    def by(self) -> str:
        if not self.person:
            raise InputError("Who does this? Give --as and the tag of the badge, or set TRAVELLER_PERSON.")
        return self.person.strip().upper()


class Commands(click.Group):
    """Loads the files of commands when a command is asked for; opening the terminal does not wait for them."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Bytes that are not UTF-8 come as surrogates (PEP 383), and no record can hold those."""
        if any("\ud800" <= sign <= "\udfff" for word in args for sign in word):
            raise click.UsageError("A word is not UTF-8: set this terminal or script to UTF-8, or rename the file.")
        return super().parse_args(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except TravellerError as error:
            click.echo(str(error), err=True)
            ctx.exit(error.exit_status)

    def _fill(self) -> None:
        if not self.commands:
            from importlib import import_module

            for group in GROUPS:
                for command in import_module(f"traveller.commands.{group}").COMMANDS:
                    self.add_command(command)

    def list_commands(self, ctx: click.Context) -> list[str]:
        self._fill()
        return super().list_commands(ctx)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        self._fill()
        return super().get_command(ctx, cmd_name)


@click.group(cls=Commands, invoke_without_command=True, context_settings={"max_content_width": 100})
@click.option("--database", metavar="URL", default="", help="The shop's database; else TRAVELLER_DATABASE.")
@click.option("--as", "person", metavar="BADGE", envvar="TRAVELLER_PERSON", default="", help="Who does it.")
@click.version_option(__version__, prog_name="traveller")
@click.pass_context
def root(context: click.Context, database: str, person: str) -> None:
    """The traveller of an electronics repair workshop. Without a command it opens the terminal."""
    need_no_password(database)
    context.obj = Caller(database, person)
    if context.invoked_subcommand is None:
        open_terminal(database)


def open_terminal(database: str) -> None:
    terminal(database).run()


def terminal(database: str) -> TravellerApp:
    """The program of the terminal. What it is made of stays to its end, so nothing of it is looked through for rubbish:
    doing so again and again while it loads would be a sixth of the work of starting."""
    gc.disable()
    from traveller.screens.app import TravellerApp
    from traveller.screens.looks.plain_signs import has_no_colour

    if has_no_colour(os.environ):
        os.environ.setdefault("NO_COLOR", "1")
    return TravellerApp(database_url(database), loaded=_keep_what_is_loaded)


def _keep_what_is_loaded() -> None:
    gc.freeze()
    gc.enable()


@contextmanager
def taking_long(what: str, stopped: str) -> Iterator[None]:
    """Says on a terminal what is waited for; Ctrl+C stops it, and `stopped` says how things stand then."""
    if sys.stderr.isatty():
        click.echo(f"{what} ... Ctrl+C stops it.", err=True)
    try:
        yield
    except KeyboardInterrupt:
        raise Refused(f"Stopped. {stopped}") from None


def say(text: str) -> None:
    click.echo(text)


def say_json(data: Any) -> None:
    click.echo(json.dumps(data, ensure_ascii=False, indent=1, default=str))


def write_file(file: Path, content: bytes) -> None:
    try:
        file.write_bytes(content)
    except OSError as error:
        raise InputError(
            f"{file} cannot be written ({error.strerror}): name a file in a folder that is there."
        ) from None


def key_and_value(text: str) -> tuple[str, str]:
    """``key=value`` as typed."""
    key, equals, value = text.partition("=")
    if not equals:
        raise InputError(f'"{text}": write key=value.')
    return key.strip(), value.strip()


as_json = click.option("--json", "as_json", is_flag=True, help="Print JSON.")
used = click.option("--with", "instruments", multiple=True, metavar="TAG", help="Instrument used; may be repeated.")
to_findings = click.option("--findings", is_flag=True, help="Into the findings: answers the check, with a note.")
show_it = click.option("--show", "show_it", is_flag=True, help="Only look.")
pass_caller = click.make_pass_decorator(Caller)
