"""Commands that carry the record out of a database and into an empty one."""

from __future__ import annotations

from pathlib import Path

import click

from traveller.commands.root import Caller, pass_caller, say
from traveller.counting import many


@click.command()
@click.argument("tag", required=False, default="")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), required=True, help="FILE.jsonl to write.")
@pass_caller
def export(caller: Caller, tag: str, out: Path) -> None:
    """Write one traveller, or the whole record, as JSON Lines, its pictures into a folder beside the file."""
    with caller.workshop() as workshop:
        carried = workshop.exchange.export(out, tag.strip().upper())
    say(f"{out}: {carried.entries} entries, {many(carried.pictures, 'picture')}")


@click.command("import")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--allow-lost", is_flag=True, help="Also if pictures are missing; they are named.")
@pass_caller
def import_record(caller: Caller, file: Path, allow_lost: bool) -> None:
    """Read an exported record into an empty database. PINs are not in it: set them anew."""
    with caller.workshop() as workshop:
        carried = workshop.exchange.read_in(file, allow_lost)
    say(f"{carried.entries} entries, {many(carried.pictures, 'picture')}: every digest fits")
    for one in carried.lost:
        click.echo(f"lost: picture {one}", err=True)


COMMANDS: list[click.Command] = [export, import_record]
