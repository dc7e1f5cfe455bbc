"""Commands for thermal pictures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json
from traveller.commands.unit import tag_argument
from traveller.quantities import read_quantity
from traveller.record.thermal_entries import ThermalTaken

if TYPE_CHECKING:
    from traveller.record.entries import Entry


@click.group()
def thermal() -> None:
    """Thermal pictures of a unit: hot places against their siblings and the ambient."""


@thermal.command("add")
@tag_argument
@click.argument("file")
@click.option("--ambient", required=True, help="Air where it draws in, °C.")
@click.option("--load", default="1", show_default=True, help="Share of full load: 1, 0.8 or 80 %.")
@click.option("--area", "areas", multiple=True, required=True, metavar="NAME=LEFT,TOP,WIDTH,HEIGHT")
@click.option("--siblings", default="set 1", show_default=True, help="Name of the set that the areas belong to.")
@click.option("--alone", "alone", multiple=True, metavar="NAME=…", help="An area without a sibling.")
@click.option("--emissivity", default="", help="Only if the camera was set to 1.")
@click.option("--reflected", default="", help="What is mirrored in the surface, °C.")
@click.option("--table", default="", help="The published table to class by.")
@click.option("--scale", default="", help="For counts: °C = count × scale + offset.")
@click.option("--offset", default="")
@click.option("--with", "instruments", multiple=True, metavar="TAG", help="The camera.")
@as_json
@pass_caller
def add(caller: Caller, /, tag: str, file: str, areas: Sequence[str], alone: Sequence[str], **typed: Any) -> None:
    """Judge the marked areas of a FILE of the camera (CSV of °C, or a 16-bit TIFF or PNG) and keep it."""
    from traveller.record.acts.thermal import Conditions
    from traveller.record.forms import build
    from traveller.record.thermal import read_area

    def number(name: str, unit: str = "") -> float | None:
        return read_quantity(typed[name], unit).value if typed[name].strip() else None

    marked = [read_area(one, typed["siblings"]) for one in areas] + [read_area(one) for one in alone]
    around = {
        "ambient": read_quantity(typed["ambient"], "°C").value,
        "load_fraction": read_quantity(typed["load"], "").value,
        "emissivity": number("emissivity"),
        "reflected": number("reflected", "°C"),
        "table": typed["table"],
    }
    with caller.workshop() as workshop:
        read = workshop.thermal.read(file, number("scale"), number("offset"))
        view = workshop.thermal.take(tag, caller.by, read, build(Conditions, around), marked, typed["instruments"])
        _tell(view.unit.thermal[-1:], typed["as_json"])


@thermal.command("show")
@tag_argument
@as_json
@pass_caller
def show(caller: Caller, tag: str, as_json: bool) -> None:
    """Every picture with its areas and their findings."""
    with caller.workshop() as workshop:
        _tell(workshop.unit(tag).unit.thermal, as_json)


def _tell(pictures: Sequence[Entry], json_wanted: bool) -> None:
    bodies = [one.body for one in pictures if isinstance(one.body, ThermalTaken)]
    if json_wanted:
        say_json([body.model_dump(mode="json") for body in bodies])
        return
    for body in bodies:
        say(f"{body.file}: {body.coldest:.1f} to {body.hottest:.1f} °C, ambient {body.ambient:g} °C ({body.scale})")
        for seen in body.seen:
            say(
                f"  {seen.area.name:8} {seen.hottest:6.1f} °C  {seen.finding.verdict.sign} {seen.finding.verdict}: "
                f"{seen.finding.says}"
            )
    if not bodies:
        say("No thermal picture yet.")


COMMANDS: list[click.Command] = [thermal]
