"""The command that runs a judge without a unit: the pocket calculator of the bench."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from traveller.commands.root import as_json, key_and_value, say, say_json
from traveller.commands.unit import say_working
from traveller.errors import InputError
from traveller.terminal import stations_folder

if TYPE_CHECKING:
    from traveller.record.forms import FormField


@click.command()
@click.argument("name", required=False, default="")
@click.argument("inputs", nargs=-1)
@click.option("--list", "list_them", is_flag=True, help="Every calculation with its inputs and its source.")
@as_json
def calculate(name: str, inputs: tuple[str, ...], list_them: bool, as_json: bool) -> None:
    """Work out NAME (station.calculation) from key=value INPUTS.

    A list takes commas: volts=0.41,0.42,OL; a curve is the path of a file.
    """
    from traveller.curves import with_curves_read
    from traveller.record.forms import fields_of, read_model
    from traveller.stationbook import load_stations

    judges = load_stations(stations_folder()).judges
    if list_them or not name:
        for key in sorted(judges):
            say(f"{key}: {', '.join(_field(field) for field in fields_of(judges[key].model))}")
            say(f"    source: {judges[key].source}")
        return
    if name not in judges:
        near = [one for one in judges if name.rpartition(".")[2] in one]
        hint = f" Is {' or '.join(near)} meant?" if near else " --list shows them all."
        raise InputError(f'There is no calculation "{name}".{hint}')
    judge = judges[name]
    typed = {key.replace("-", "_"): value for key, value in map(key_and_value, inputs)}
    many = {field.name for field in fields_of(judge.model) if field.many}
    spaced = {key: value.replace(",", " ") if key in many else value for key, value in typed.items()}
    finding = judge.finding(read_model(judge.model, with_curves_read(judge.model, spaced), {}))
    if as_json:
        data = finding.model_dump(mode="json", include={"verdict", "values", "working", "source", "caution"})
        say_json({**data, "values": {one["name"]: one["value"] for one in data["values"]}})
        return
    say(f"{finding.verdict.sign} {finding.verdict}: {finding.says}")
    say_working(finding)


def _field(field: FormField) -> str:
    unit = f"file of {', '.join(field.curve)}" if field.curve else field.unit
    return f"{field.name}{'' if field.required else '?'}{f' ({unit})' if unit else ''}"


COMMANDS: list[click.Command] = [calculate]
