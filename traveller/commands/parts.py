"""Commands for the parts list of a unit."""

from __future__ import annotations

import click

from traveller.commands.root import Caller, as_json, key_and_value, pass_caller, say, say_json
from traveller.commands.unit import tag_argument, tell
from traveller.record.parts_entries import Part
from traveller.record.view import UnitView


@click.group()
def parts() -> None:
    """The parts list of a unit: import, add, from, list."""


def _told(view: UnitView, as_json: bool) -> None:
    tell(view, as_json, view.unit.parts.says)


@parts.command("import")
@tag_argument
@click.argument("file")
@click.option("--map", "columns", metavar="HEADER=FIELD", multiple=True, help="What a column is; remembered.")
@as_json
@pass_caller
def import_list(caller: Caller, tag: str, file: str, columns: tuple[str, ...], as_json: bool) -> None:
    """The whole parts list from a CSV FILE; it replaces the list before.

    Fields: reference, kind, value, rating, footprint, matched_set, board, drives, or "not read".
    """
    said = dict(key_and_value(one) for one in columns)
    with caller.workshop() as workshop:
        read = workshop.parts.read_file(file, said)
        _told(workshop.parts.import_list(tag, file, caller.by, said), as_json)
    if not as_json:
        unread = f"; columns not read: {', '.join(read.unread)}" if read.unread else ""
        say(f"read as {read.encoding}{unread}")


@parts.command("add")
@tag_argument
@click.argument("references")
@click.argument("kind")
@click.option("--value", default="", help="For example 470u.")
@click.option("--rating", default="", help="For example 450 V 105 °C.")
@click.option("--footprint", default="")
@click.option("--set", "matched_set", default="", help="Name of the matched set.")
@click.option("--board", default="")
@click.option("--drives", default="", help="The power devices that it drives.")
@as_json
@pass_caller
def add(caller: Caller, /, tag: str, references: str, kind: str, as_json: bool, **typed: str) -> None:
    """Parts of one KIND by hand at REFERENCES (C17 or C1-C4)."""
    with caller.workshop() as workshop:
        _told(workshop.parts.add(tag, references, kind, caller.by, **typed), as_json)


@parts.command("from")
@tag_argument
@click.argument("earlier", required=False, default="")
@as_json
@pass_caller
def take_from(caller: Caller, tag: str, earlier: str, as_json: bool) -> None:
    """The parts list of an EARLIER unit of the same maker and model; without one, say which is known."""
    with caller.workshop() as workshop:
        if earlier:
            _told(workshop.parts.take_from(tag, earlier, caller.by), as_json)
            return
        unit = workshop.unit(tag).unit
        plate = unit.nameplate
        known = workshop.parts.known_for(plate.maker, plate.model, besides=unit.tag) if plate else None
    if as_json:
        say_json({"earlier": known.tag if known else None, "parts": len(known.parts.parts) if known else 0})
    else:
        say(f"{known.tag}: {len(known.parts.parts)} parts" if known else "no parts list of this model is known")


@parts.command("list")
@tag_argument
@as_json
@pass_caller
def list_parts(caller: Caller, tag: str, as_json: bool) -> None:
    """Every part with its kind, value, rating and matched set."""
    with caller.workshop() as workshop:
        known = workshop.unit(tag).unit.parts
    if as_json:
        say_json({"from": known.origin, "parts": [one.model_dump(mode="json") for one in known.parts.values()]})
        return
    for part in known.parts.values():
        say(_line(part))
    say(known.says)


def _line(part: Part) -> str:
    more = [part.footprint, f"set {part.matched_set}" if part.matched_set else "", part.board]
    more += [f"drives {', '.join(part.drives)}"] if part.drives else []
    return f"{part.reference:10} {part.label:32} {'  '.join(one for one in more if one)}".rstrip()


COMMANDS: list[click.Command] = [parts]
