"""The command that runs a judge without a unit, and the public names of the calculations of three stations."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from traveller.commands.root import root
from traveller.record.forms import fields_of
from traveller.stationbook import load_stations

# Calculation -> inputs that must be given, inputs that may be given: the names that scripts rely on.
PUBLIC = {
    "goods_in.reforming": ("months_without_power rated_voltage", "recipe"),
    "goods_in.warranty": ("released_on arrived_on", "months"),
    "diagnosis.diode_check": ("volts rule", ""),
    "diagnosis.discharge": ("capacitance resistance voltage", "safe_voltage"),
    "diagnosis.discharge_from_readings": ("first second seconds_between", "safe_voltage"),
    "diagnosis.discharge_resistor": ("capacitance voltage seconds", "safe_voltage"),
    "diagnosis.gate_resistance": ("readings", "rule parallel"),
    "diagnosis.odd_one_out": ("readings tolerance", "sides significance"),
    "diagnosis.signature": ("reference suspect", "limit_percent"),
    "diagnosis.intermittent": ("failures runs", "confidence"),
    "diagnosis.runs_needed": ("worst_rate", "confidence failures_allowed"),
    "component_work.capacitor_life": (
        "rated_life_h rated_temperature temperature",
        "rated_voltage voltage ripple_ratio core_rise model",
    ),
    "component_work.capacitor_health": ("capacitance esr new_capacitance new_esr", "leakage rated_voltage"),
    "component_work.substitute": ("", "original_voltage offered_voltage"),
    "component_work.floor_life": ("msl exposed_h", "dry_h body_mm"),
    "component_work.marking": ("code", ""),
}

# A plus in an input stands for a blank.
CASES: dict[str, tuple[str, dict[str, Any]]] = {
    "goods_in.reforming": (
        "months_without_power=40 rated_voltage=450 recipe=Chemi-Con",
        {"class": "any age", "steps": "450 V 60 min", "hours": 1, "series_resistance_ohm": 1000, "peak_power_w": 202.5},
    ),
    "goods_in.warranty": (
        "released_on=2024-02-29 arrived_on=2025-02-28",
        {"until": "2025-02-28", "covered": "yes"},
    ),
    "diagnosis.diode_check": (
        "volts=0.45,0.29,OL rule=rectifier+diode",
        {"outcome_1": "good", "outcome_2": "low", "outcome_3": "open"},
    ),
    "diagnosis.discharge": (
        "capacitance=1000u resistance=1k voltage=60",
        {"tau_s": 1, "time_s": 0, "energy_j": 1.8, "charge_c": 0.06},
    ),
    "diagnosis.discharge_from_readings": (
        "first=100 second=50 seconds_between=10 safe_voltage=25",
        {"time_s": pytest.approx(10)},
    ),
    "diagnosis.discharge_resistor": (
        "capacitance=195u voltage=1500 safe_voltage=320 seconds=20",
        {"resistance_ohm": pytest.approx(66388.86, rel=1e-4), "energy_j": pytest.approx(219.375)},
    ),
    "diagnosis.odd_one_out": (
        "readings=199.31,199.53,200.19,200.82,201.92,201.95,202.18,245.57 tolerance=5",
        {
            "suspect": 8,
            "grubbs_critical": pytest.approx(2.1266, abs=1e-4),
            "grubbs_g": pytest.approx(2.46876, abs=1e-4),
        },
    ),
    "diagnosis.intermittent": (
        "failures=3 runs=20",
        {"rate": 0.15, "lower": pytest.approx(0.0321, abs=5e-5), "upper": pytest.approx(0.3789, abs=5e-5)},
    ),
    "diagnosis.runs_needed": ("worst_rate=0.01", {"runs": 299}),
    "component_work.capacitor_life": (
        "rated_life_h=1000 rated_temperature=105 temperature=45",
        {"life_h": 64000, "life_years": 7.31},
    ),
    "component_work.capacitor_health": (
        "capacitance=47u esr=0.1 new_capacitance=47u new_esr=0.1 rated_voltage=40",
        {"capacitance_change": 0, "esr_ratio": 1, "leakage_limit_a": pytest.approx(18.8e-6)},
    ),
    "component_work.substitute": ("original_voltage=400 offered_voltage=450", {"voltage": "as good"}),
    "component_work.floor_life": ("msl=3 exposed_h=170 body_mm=1.2", {"left_h": 0, "bake": "7 h at 125 °C"}),
    "component_work.marking": ("code=4K7J", {"value": 4700, "tolerance": 5, "nearest_e24": 4700}),
}


def calculate(*words: str) -> Result:
    return CliRunner().invoke(root, ["calculate", *words])


@pytest.mark.parametrize("name", PUBLIC)
def test_the_public_inputs(name: str) -> None:
    required, optional = (set(names.split()) for names in PUBLIC[name])
    fields = fields_of(load_stations().judges[name].model)
    assert {field.name for field in fields if field.required} == required
    assert optional <= {field.name for field in fields if not field.required}


@pytest.mark.parametrize("name", CASES)
def test_by_command(name: str) -> None:
    """The figures and their sources: tests/stations."""
    inputs, expected = CASES[name]
    result = calculate(name, *(one.replace("+", " ") for one in inputs.split()), "--json")
    assert result.exit_code == 0, result.output
    data = json.loads(result.output)
    assert set(data) == {"verdict", "values", "working", "source", "caution"}
    for key, value in expected.items():
        assert data["values"][key] == value
    assert data["working"]
    assert data["source"]


def test_the_list_names_inputs_with_their_units_and_the_source() -> None:
    output = calculate("--list").output
    assert "diagnosis.discharge_resistor: capacitance (F), voltage (V), seconds (s), safe_voltage? (V)" in output
    assert "diagnosis.signature: reference (file of V, A), suspect (file of V, A), limit_percent? (%)" in output
    assert output.count("    source: ") == len(load_stations().judges)
    after = output.split("diagnosis.discharge_resistor:")[1].splitlines()[1]
    assert "IEC 60204-1 6.2.4" in after


def test_a_trace_from_a_file(tmp_path: Path) -> None:
    """Ohm: half the resistance draws twice the current."""
    good, bad = tmp_path / "good.csv", tmp_path / "bad.csv"
    good.write_text("volts,amps\n-1,-0.001\n0,0\n1,0.001\n")
    bad.write_text("U;I\n-1,0;-0,002\n1,0;0,002\n")
    result = calculate("diagnosis.signature", f"reference={good}", f"suspect={bad}", "limit_percent=5", "--json")
    data = json.loads(result.output)
    assert data["verdict"] == "fail"
    assert data["values"]["distance"] == pytest.approx(100)
    plain = calculate("diagnosis.signature", f"reference={good}", f"suspect={good}")
    assert "limit learned from good siblings" in plain.output


@pytest.mark.parametrize(
    "words",
    [
        ("diagnosis.discharge", "capacitance=-1u", "resistance=1k", "voltage=60"),
        ("diagnosis.discharge", "capacitance=0", "resistance=1k", "voltage=60"),
        ("diagnosis.odd_one_out", "readings=1", "tolerance=5"),
        ("diagnosis.odd_one_out", "readings=1,2", "tolerance=5"),
        ("diagnosis.intermittent", "failures=0", "runs=0"),
        ("diagnosis.intermittent", "failures=4", "runs=3"),
        ("component_work.capacitor_life", "rated_life_h=1000", "rated_temperature=105", "temperature=-300"),
        ("component_work.capacitor_life", "rated_life_h=nan", "rated_temperature=105", "temperature=45"),
        ("diagnosis.signature", "reference=/nowhere", "suspect=/nowhere"),
        ("goods_in.warranty", "released_on=2026-02-30", "arrived_on=2026-03-01"),
        ("diagnosis.nothing", "x=1"),
        ("diagnosis.discharge", "capacitance"),
    ],
)
def test_bad_input_is_a_sentence(words: tuple[str, ...]) -> None:
    result = calculate(*words)
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert len(result.output.split()) >= 3


def test_readings_that_rise_are_a_finding() -> None:
    result = calculate("diagnosis.discharge_from_readings", "first=100", "second=120", "seconds_between=10", "--json")
    assert json.loads(result.output)["verdict"] == "fail"


def test_three_equal_readings_pass() -> None:
    result = calculate("diagnosis.odd_one_out", "readings=5,5,5", "tolerance=5", "--json")
    assert json.loads(result.output)["verdict"] == "pass"
