"""The command for the photos of a unit."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json
from traveller.commands.unit import tag_argument
from traveller.counting import many
from traveller.record.photos import Photo, all_photos


@click.command()
@tag_argument
@click.argument("files", nargs=-1)
@click.option("--of", default="", metavar="CHECK|REFERENCE", help="A check or a work line; else the unit as a whole.")
@click.option("--caption", default="", help="What it shows.")
@click.option("--list", "listed", is_flag=True, help="List the photos of the unit.")
@click.option("--save", "folder", type=click.Path(path_type=Path), default=None, help="Write all photos into a folder.")
@as_json
@pass_caller
def photo(
    caller: Caller,
    tag: str,
    files: tuple[str, ...],
    of: str,
    caption: str,
    listed: bool,
    folder: Path | None,
    as_json: bool,
) -> None:
    """Add photos to a unit, list them, or write them out. A photo that answers a check: `traveller answer`."""
    if not files and not listed and folder is None:
        raise click.UsageError("Name picture FILES, or use --list or --save FOLDER.")
    with caller.workshop() as workshop:
        if files:
            workshop.photos.take(tag, caller.by, ";".join(files), of, caption)
        photos = all_photos(workshop.unit(tag).unit)
        written = workshop.photos.save(tag, folder) if folder else []
    if as_json:
        say_json({"photos": [photo_data(one) for one in photos], "written": [str(path) for path in written]})
        return
    if files:
        say(f"{tag}: {many(len(files), 'photo')} kept")
    for one in photos if listed else ():
        say(f"{one.at:%Y-%m-%d %H:%M}Z  {one.of or 'unit'}  {one.name}  {one.caption}".rstrip())
    for path in written:
        say(str(path))


def photo_data(one: Photo) -> dict[str, Any]:
    return {
        "entry": str(one.entry),
        "of": one.of,
        "sha256": one.sha256,
        "original": one.original,
        "name": one.name,
        "caption": one.caption,
        "by": one.by,
        "at": one.at.isoformat(),
    }


COMMANDS: list[click.Command] = [photo]
