"""Prints the page of the calculations, made from the judges of the shipped stations.

Run it from a checkout when a judge is added or changed:
``.venv/bin/python docs/list_calculations.py > docs/calculations.md``.
"""

from __future__ import annotations

import shlex
import sys
from collections.abc import Iterator

from traveller.record.forms import FormField, LoadedJudge, fields_of
from traveller.stationbook import all_judges, load_stations

HEAD = """# The calculations

Every check with a calculation, and the calculator (F12 on every screen), use these. The command
`traveller calculate NAME key=value ...` works them out without a unit, and nothing is recorded;
`traveller calculate --list` lists them.

Write values as at the bench: `470u`, `22k`, `0.62`. A list takes commas in the command and blanks on the screen.
A curve is the path of a file with two columns, or its points as below. Inputs in [brackets] may be left out. Where a
rule can be chosen, it brings its own source, and the finding names it.

This page is made by `docs/list_calculations.py`.
"""

EXAMPLES: dict[str, dict[str, str]] = {
    "component_work.capacitor_health": {
        "capacitance": "452u",
        "esr": "60m",
        "new_capacitance": "470u",
        "new_esr": "55m",
    },
    "component_work.capacitor_life": {"rated_life_h": "2000", "rated_temperature": "105", "temperature": "65"},
    "component_work.floor_life": {"msl": "3", "exposed_h": "20", "body_mm": "1.4"},
    "component_work.marking": {"code": "4k7", "reading": "4.69k"},
    "component_work.self_heating": {
        "ripple": "3",
        "esr": "0.08",
        "surface_cm2": "64.6",
        "diameter_mm": "35",
    },
    "component_work.substitute": {
        "original_voltage": "400",
        "offered_voltage": "450",
        "original_temperature": "105",
        "offered_temperature": "105",
    },
    "diagnosis.diode_check": {"volts": "0.41,0.42,OL", "rule": "transistor module"},
    "diagnosis.discharge": {"capacitance": "940u", "resistance": "22k", "voltage": "565"},
    "diagnosis.discharge_from_readings": {"first": "312", "second": "240", "seconds_between": "30"},
    "diagnosis.discharge_resistor": {"capacitance": "940u", "voltage": "565", "seconds": "5"},
    "diagnosis.gate_resistance": {"readings": "21,22,5,21,22,21"},
    "diagnosis.intermittent": {"failures": "2", "runs": "400"},
    "diagnosis.odd_one_out": {"readings": "4.7,4.72,6.1", "tolerance": "5"},
    "diagnosis.runs_needed": {"worst_rate": "0.01", "confidence": "0.95"},
    "diagnosis.signature": {
        "reference": "0 0; 1 0.010; 2 0.021; 3 0.030",
        "suspect": "0 0; 1 0.011; 2 0.029; 3 0.031",
        "limit_percent": "10",
    },
    "dispatch.accessories": {"readings": "1,0,4,2", "counted_in": "1,0,4,2"},
    "dispatch.chargeable_weight": {"length_cm": "60", "width_cm": "40", "height_cm": "35", "weight_kg": "11.2"},
    "dispatch.lithium": {"chemistry": "lithium metal", "cells": "1", "batteries": "0", "grams": "0.3"},
    "goods_in.reforming": {"months_without_power": "27", "rated_voltage": "450"},
    "goods_in.warranty": {"released_on": "2026-02-10", "arrived_on": "2026-11-25"},
    "inspection.defect_rate": {"defects": "2", "opportunities_per_unit": "640"},
    "inspection.insulation": {
        "resistance": "480M",
        "temperature": "22",
        "test_voltage": "500",
        "circuit_voltage": "400",
    },
    "inspection.leakage_current": {"leakage": "1.2m"},
    "inspection.protective_conductor": {"resistance": "0.08", "length_m": "3", "cross_section_mm2": "1.5"},
    "inspection.voltage_test": {"rated_volts": "460", "applied": "1.5k"},
    "load_test.converter_output": {"line_volts": "400", "firing_angle": "35", "measured_volts": "440"},
    "load_test.emissivity": {"apparent": "60", "emissivity": "0.95", "reflected": "20"},
    "load_test.hot_spot": {"spot": "68", "similar": "64", "ambient": "24", "load_fraction": "0.9"},
    "load_test.instrument_budget": {"parts": "0.0021/5:repeat 0.006:rectangular 0.001:resolution"},
    "load_test.overload": {"segments": "150x60, 75x120"},
    "load_test.power": {"line_volts": "400", "amps": "16.1", "power_factor": "0.93", "output_w": "9.6k"},
    "load_test.speed_regulation": {"no_load": "1500", "full_load": "1482"},
    "load_test.steady": {"times_min": "0,30,60,90", "temperatures": "24,46,55,58.6", "ambient": "24", "allowed": "75"},
    "load_test.unbalance": {"readings": "400,402,397"},
    "load_test.winding_temperature": {"cold_ohms": "0.412", "cold_c": "22", "hot_ohms": "0.502", "ambient": "24"},
}


def page() -> str:
    """The page as it should stand in docs/calculations.md; SystemExit when a judge has no example."""
    judges = all_judges(load_stations())
    if missing := [judge.name for judge in judges if judge.name not in EXAMPLES]:
        sys.exit(f"Give {', '.join(missing)} an example in docs/list_calculations.py.")
    return "\n".join([HEAD, *_table(judges), "", "## An example of each", "", *_examples(judges), ""])


def _table(judges: list[LoadedJudge]) -> Iterator[str]:
    yield "| calculation | inputs | source |"
    yield "| --- | --- | --- |"
    for judge in judges:
        inputs = ", ".join(_input(field) for field in fields_of(judge.model))
        yield f"| **{judge.name}**<br>{_does(judge)} | {_cell(inputs)} | {_cell(judge.source)} |"


def _cell(text: str) -> str:
    return text.replace("|", "\\|").replace("\n", " ")


def _does(judge: LoadedJudge) -> str:
    """The first sentence of the judge's docstring."""
    first = (judge.function.__doc__ or "").strip().split("\n\n")[0]
    return _cell(" ".join(first.split()))


def _input(field: FormField) -> str:
    many = "…" if field.many else ""
    unit = f" ({field.unit})" if field.unit else ""
    choices = f": {' / '.join(field.options)}" if field.options else ""
    words = f"{field.name}{many}{unit}{choices}"
    return words if field.required else f"[{words}]"


def _examples(judges: list[LoadedJudge]) -> Iterator[str]:
    yield "```sh"
    for judge in judges:
        inputs = " ".join(shlex.quote(f"{name}={text}") for name, text in EXAMPLES[judge.name].items())
        yield f"traveller calculate {judge.name} {inputs}"
    yield "```"


def main() -> None:
    sys.stdout.write(page())


if __name__ == "__main__":
    main()
