"""The command that makes labels."""

from __future__ import annotations

from pathlib import Path
from typing import Literal, cast

import click

from traveller.commands.root import Caller, pass_caller, say, write_file
from traveller.tags import TagKind, read_tag


@click.command()
@click.argument("text", metavar="TAG")
@click.option("--out", type=click.Path(path_type=Path, dir_okay=False), default=None, help="PNG file to write.")
@click.option("--dpi", type=click.Choice(["203", "300", "600"]), default="300", help="The printer's dots per inch.")
@click.option("--size", default="50x25", metavar="WxH", help="Label size in mm.")
@pass_caller
def tag(caller: Caller, text: str, out: Path | None, dpi: str, size: str) -> None:
    """Say what a tag stands for, draw it here, or write its label as PNG with --out."""
    from traveller.tags.code import qr_text
    from traveller.tags.label import Label, draw_label

    with caller.workshop() as workshop:
        thing = workshop.thing(text)
        heading, owner, hazards = thing.name, "", tuple[str, ...]()
        if thing.kind is TagKind.UNIT:
            unit = workshop.unit(thing.tag).unit
            if unit.nameplate:
                heading, owner = unit.nameplate.unit_kind.label, unit.nameplate.customer
            hazards = tuple(hazard.label for hazard in unit.hazards)
    if out is None:
        for line in qr_text(read_tag(thing.tag)):
            say(line)
        say(f"{thing.tag}  {thing.kind}: {thing.name}")
        return
    try:
        width, height = (float(part) for part in size.lower().split("x"))
    except ValueError:
        raise click.UsageError(f'"{size}": write the size as WIDTHxHEIGHT in mm, for example 50x25.') from None
    label = Label(read_tag(thing.tag), heading, owner, hazards)
    write_file(out, draw_label(label, cast(Literal[203, 300, 600], int(dpi)), width, height))
    say(f"{out}: {thing.tag}, {size} mm at {dpi} dpi")


COMMANDS: list[click.Command] = [tag]
