"""Commands for whoever looks after the database: doctor, backup, restore."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json, taking_long


@click.command()
@as_json
@click.pass_context
@pass_caller
def doctor(caller: Caller, context: click.Context, as_json: bool) -> None:
    """Look at the database, its settings, rights and copies, and at this terminal's clock."""
    from traveller.store.doctor import look

    with caller.workshop() as workshop:
        found = look(workshop.engine, datetime.now(UTC))
    if as_json:
        say_json([{"state": one.state, "what": one.what, "todo": one.todo} for one in found])
    for one in found if not as_json else ():
        say(one.line)
    context.exit(1 if any(one.state == "bad" for one in found) else 0)


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--allow-lost", is_flag=True, help="Also if pictures or samples are missing; `verify` names them.")
@as_json
@pass_caller
def backup(caller: Caller, file: Path, allow_lost: bool, as_json: bool) -> None:
    """Write everything into a new FILE, while the shop works, and prove that its chains fit."""
    from traveller.store.backup import backup as write

    with (
        taking_long("Writing the backup and proving it", f"{file} was not written."),
        caller.workshop() as workshop,
    ):
        kept = write(workshop.engine, file.absolute(), allow_lost)
    _tell(f"{kept.path}: {kept.entries} entries of {kept.subjects} subjects, every chain fits", kept.sha256, as_json)


@click.command()
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--allow-lost", is_flag=True, help="Also if pictures or samples are missing; `verify` names them.")
@as_json
@pass_caller
def restore(caller: Caller, file: Path, allow_lost: bool, as_json: bool) -> None:
    """Bring the backup in FILE into an empty database, and prove that its chains fit there."""
    from traveller.store.backup import restore as bring_back
    from traveller.store.engine import open_engine
    from traveller.terminal import database_url

    engine = open_engine(database_url(caller.database))
    try:
        with taking_long(
            "Bringing the backup back and proving it", "The database holds all of it or nothing: verify says."
        ):
            kept = bring_back(file.absolute(), engine, allow_lost)
    finally:
        engine.dispose()
    said = f"{kept.entries} entries of {kept.subjects} subjects are back, every chain fits"
    _tell(said, kept.sha256, as_json)


def _tell(said: str, sha256: str, json_wanted: bool) -> None:
    if json_wanted:
        say_json({"said": said, "sha256": sha256})
    else:
        say(f"{said}\nSHA-256 of the file {sha256}: write it down elsewhere")


COMMANDS: list[click.Command] = [doctor, backup, restore]
