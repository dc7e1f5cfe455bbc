"""Load test: the output of a thyristor bridge, its currents and its motor, against figures published elsewhere."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.load_test.converter import ConverterOutput, converter_output
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import Verdict


@pytest.mark.parametrize(
    ("volts", "angle", "output"),
    [
        (480, 0, 648.228),  # engineeringdevotion.com, prints 648
        (480, 44.418, 463.0),  # 463 V for 100 hp, 1500 rpm; computed angle
        (480, 132.388, -437.0),  # the same, feeding back
        (400, 0, 540.19),
        (400, 30, 467.82),
        (400, 60, 270.09),  # Singhal ex. 2.22
        (400, 90, 0),
        (400, 120, -270.09),
    ],
)
def test_mean_output_of_the_bridge(volts: float, angle: float, output: float) -> None:
    """Vd = (3√2/π) U cos α."""
    found = figures(converter_output(ConverterOutput(line_volts=volts, firing_angle=angle)))
    assert float(found["volts"]) == pytest.approx(output, abs=0.02)


@pytest.mark.parametrize(
    ("line", "volts", "angle"),
    [
        (480, 463, 44.418),  # 100 hp, 600 V, 1500 rpm, 130 A through 0.1 Ω: 463 V (engineeringdevotion.com)
        (480, -437, 132.388),  # the same, feeding back
        (208, 271.771, 14.646),  # Rashid ex. 14.6: 259.338 V and 49.733 A through 0.25 Ω
        (208, 280.89, 0.0),  # its field: 280.90 V, full output
        (400, 0, 90.0),
    ],
)
def test_the_angle_for_a_voltage(line: float, volts: float, angle: float) -> None:
    found = figures(converter_output(ConverterOutput(line_volts=line, volts=volts)))
    assert float(found["angle"]) == pytest.approx(angle, abs=0.01 if angle else 0.5)


def test_half_wave() -> None:
    """fliphtml5 textbook: three pulses, 120 V per phase, 60°, prints 70.2 V."""
    given_bridge = ConverterOutput(line_volts=120 * math.sqrt(3), firing_angle=60, bridge="three pulses, half wave")
    assert float(figures(converter_output(given_bridge))["volts"]) == pytest.approx(70.2, abs=0.1)


def test_a_diode_bridge_is_one_that_fires_at_once() -> None:
    """ABB ACS800-37 hardware manual p. 60: 440 V × 1.35 × 2, prints 1190 V."""
    found = figures(converter_output(ConverterOutput(line_volts=440, firing_angle=0)))
    assert 2 * float(found["volts"]) == pytest.approx(1190, rel=5e-3)


def test_more_volts_than_the_bridge_can_give_are_refused() -> None:
    assert float(figures(converter_output(ConverterOutput(line_volts=480, volts=648.227)))["angle"]) < 0.2
    for volts in (649, -649):
        with pytest.raises(InputError, match="at most"):
            converter_output(ConverterOutput(line_volts=480, volts=volts))


@pytest.mark.parametrize("words", [{}, {"firing_angle": 30, "volts": 400}])
def test_either_the_angle_or_the_volts(words: dict[str, float]) -> None:
    with pytest.raises(ValidationError, match="either"):
        ConverterOutput.model_validate({"line_volts": 400, **words})


@settings(max_examples=200)
@given(st.floats(1, 1000), st.floats(1, 179))
def test_the_angle_of_the_volts_of_an_angle_is_that_angle(line: float, angle: float) -> None:
    volts = float(figures(converter_output(ConverterOutput(line_volts=line, firing_angle=angle)))["volts"])
    found = figures(converter_output(ConverterOutput(line_volts=line, volts=volts)))
    assert float(found["angle"]) == pytest.approx(angle, abs=1e-6)


def test_a_missing_pulse_is_seen() -> None:
    """Of six pulses one missing takes about a sixth of 540.19 V."""
    assert converter_output(ConverterOutput(line_volts=400, firing_angle=0, measured_volts=535)).verdict is Verdict.PASS
    finding = converter_output(ConverterOutput(line_volts=400, firing_angle=0, measured_volts=540.19 * 5 / 6))
    assert finding.verdict is Verdict.FAIL
    assert float(figures(finding)["departure_percent"]) == pytest.approx(100 / 6, abs=0.01)


# --- currents, and the motor behind it


def worked(**words: object) -> dict[str, float]:
    found = figures(converter_output(ConverterOutput.model_validate(words)))
    return {name: float(value) for name, value in found.items()}


HUNDRED_HP = {"line_volts": 480, "volts_per_rpm": 0.3, "armature_ohms": 0.1, "amps": 130}


def test_a_motor_of_a_hundred_horsepower() -> None:
    """engineeringdevotion.com, 3-phase full converter: 480 V, 0.3 V/rpm, 0.1 Ω, 130 A, 1500 rpm: 463 V; the rest
    computed: line √(2/3) Id, power factor (3/π) cos α."""
    found = worked(**HUNDRED_HP, rpm=1500)
    assert found["volts"] == pytest.approx(463)
    assert found["angle"] == pytest.approx(44.418, rel=1e-4)
    assert found["line_amps"] == pytest.approx(106.145, rel=1e-4)
    assert found["power_factor"] == pytest.approx(0.68206, rel=1e-4)


def test_the_same_motor_feeding_back() -> None:
    """The same page: −437 V, 132.388°."""
    found = worked(**HUNDRED_HP, rpm=-1500)
    assert found["volts"] == pytest.approx(-437)
    assert found["angle"] == pytest.approx(132.388, abs=0.01)
    assert found["power_factor"] < 0


def test_a_resistor_as_load() -> None:
    """Singhal ex. 2.22 (FOSSEE Scilab textbook companions 2231): 400 V, 10 Ω, 60°; outputs computed."""
    found = worked(line_volts=400, firing_angle=60, load_ohms=10)
    expected = {
        "volts": 270.09,
        "amps": 27.01,
        "volts_rms": 306.33,
        "amps_rms": 30.63,
        "thyristor_average_a": 9.003,
        "thyristor_rms_a": 17.686,
        "efficiency": 77.74,
    }
    assert found == pytest.approx(expected, rel=2e-4)


def test_a_motor_with_its_field_from_a_bridge_of_its_own() -> None:
    """Rashid ex. 14.6 (Scilab textbook companions 3941): 20 hp, 300 V, 1800 rpm, 208 V, Ra 0.25 Ω, Rf 245 Ω, Kv 1.2;
    no load at a tenth of the current."""
    amps = 20 * 746 / 300
    assert amps == pytest.approx(49.733, rel=1e-4)
    field = worked(line_volts=208, firing_angle=0, load_ohms=245)
    assert field["volts"] == pytest.approx(280.90, rel=1e-4)
    assert field["amps"] == pytest.approx(1.14653, rel=1e-4)
    motor = {"line_volts": 208, "volts_per_rpm": 1.2 * field["amps"] * 2 * math.pi / 60, "armature_ohms": 0.25}
    assert 1800 * motor["volts_per_rpm"] == pytest.approx(259.338, rel=1e-4)
    loaded = worked(**motor, amps=amps, rpm=1800)
    assert loaded["volts"] == pytest.approx(271.771, rel=1e-4)
    assert loaded["angle"] == pytest.approx(14.646, rel=1e-3)
    assert worked(**motor, amps=amps / 10, firing_angle=loaded["angle"])["rpm"] == pytest.approx(1877.67, rel=1e-4)
    assert worked(**motor, amps=amps / 10, volts=loaded["volts"])["rpm"] == pytest.approx(1877.67, rel=1e-4)


@settings(max_examples=50, deadline=None)
@given(st.floats(50, 700), st.floats(0, 60), st.floats(0.1, 100))
def test_the_rms_is_that_of_the_waves(line: float, angle: float, ohms: float) -> None:
    """The line volts of six pulses, each over 60° from 60° + α, squared and averaged (numpy)."""
    turn = np.radians(60 + angle + np.linspace(0, 60, 20_001))
    wave = math.sqrt(2) * line * np.sin(turn)
    found = worked(line_volts=line, firing_angle=angle, load_ohms=ohms)
    assert found["volts"] == pytest.approx(np.trapezoid(wave, turn) / (math.pi / 3), rel=1e-6)
    assert found["volts_rms"] == pytest.approx(math.sqrt(np.trapezoid(wave**2, turn) / (math.pi / 3)), rel=1e-6)
    assert found["efficiency"] <= 100


def test_a_resistor_above_60_degrees_is_refused() -> None:
    """Its current has gaps there, so the mean is no longer (3√2/π) U cos α."""
    with pytest.raises(InputError, match="gaps"):
        worked(line_volts=400, firing_angle=61, load_ohms=10)


@pytest.mark.parametrize(
    "words",
    [
        {"rpm": 1500},
        {"rpm": 1500, "volts_per_rpm": 0.3, "volts": 400},
        {"firing_angle": 30, "amps": 5, "load_ohms": 10},
        {"firing_angle": 30, "load_ohms": 10, "bridge": "three pulses, half wave"},
    ],
)
def test_questions_that_do_not_fit_together_are_refused(words: dict[str, object]) -> None:
    with pytest.raises(ValidationError, match=r"give|leave"):
        ConverterOutput.model_validate({"line_volts": 400, **words})
