"""The command for siblings side by side."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json, show_it, to_findings, used
from traveller.commands.unit import tag_argument
from traveller.errors import InputError
from traveller.plots import row_bars
from traveller.quantities import read_quantity
from traveller.record import siblings as comparing
from traveller.record.acts.work import references_in
from traveller.record.facts import Disturbance

WIDTH = 78


@click.command()
@tag_argument
@click.argument("readings", nargs=-1)
@click.option("--set", "set_name", default="", help="Name of the set, for example power stage.")
@click.option("--devices", default="", help="Its devices in the order of the readings: Q1,Q2,Q3.")
@click.option("--row", default="", help="What was measured, for example diode C-E.")
@click.option("--unit", default="", help="Unit of the readings: V, Ω, A, F ...")
@click.option("--tolerance", default="", help="Allowed departure from the median in %; else the usual one.")
@used
@to_findings
@show_it
@as_json
@pass_caller
def siblings(
    caller: Caller,
    tag: str,
    readings: tuple[str, ...],
    set_name: str,
    devices: str,
    row: str,
    unit: str,
    tolerance: str,
    instruments: tuple[str, ...],
    findings: bool,
    show_it: bool,
    as_json: bool,
) -> None:
    """READINGS of one row side by side, one value a device (OL for over range; -- before negative ones)."""
    if not readings and not findings and not show_it:
        raise InputError("Type the readings in the order of the devices, or --show, or --findings, --set and --row.")
    with caller.workshop() as workshop:
        view = workshop.unit(tag)
        if readings:
            percent = read_quantity(tolerance, "%").value if tolerance else None
            view = workshop.measuring.siblings(
                tag,
                caller.by,
                set_name,
                row,
                " ".join(readings),
                devices=references_in(devices),
                unit=unit,
                tolerance=percent,
                instruments=instruments,
            )
        if findings:
            view = workshop.measuring.siblings_into_findings(tag, caller.by, set_name, row)
    work = comparing.last_work(view.unit.disturbances)
    wanted = [one for key, one in view.unit.siblings.items() if not set_name or key == comparing.key_of(set_name)]
    if as_json:
        say_json([set_data(one, work) for one in wanted])
        return
    for one in wanted:
        for line in set_lines(one, work, comparing.key_of(row)):
            say(line)
    if not wanted:
        say(f"{tag}: no siblings were measured yet")


def set_data(table: comparing.SiblingSet, work: Disturbance | None) -> dict[str, Any]:
    seen = comparing.suspicion(table, work)
    return {
        "set": table.name,
        "devices": list(table.devices),
        "suspect": seen.device or None,
        "says": seen.says,
        "rows": [
            {
                "row": row.name,
                "unit": row.unit,
                "readings": {device: one.model_dump(mode="json") for device, one in row.readings.items()},
                "tolerance": row.tolerance,
                "tolerance_source": row.tolerance_source or "as typed",
                "suspect": row.suspect or None,
                "stale": comparing.is_overtaken(row, work),
                "earlier": len(row.earlier),
                "finding": row.finding.model_dump(mode="json"),
            }
            for row in table.rows.values()
        ],
    }


def set_lines(table: comparing.SiblingSet, work: Disturbance | None, chosen: str = "") -> Iterator[str]:
    seen = comparing.suspicion(table, work)
    yield f"{table.name}: {seen.sign} {seen.says}"
    for key, row in table.rows.items():
        stale = f"  ↻ stale, {work.says} after this" if work and comparing.is_overtaken(row, work) else ""
        yield f"{row.finding.verdict.sign} {row.name}: {row.says}{stale}"
        if not chosen or chosen == key:
            yield from row_bars(row, WIDTH)


COMMANDS: list[click.Command] = [siblings]
