"""Plausible fields for the judges of calculations, by the name that the sheets call them by."""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from datetime import timedelta

from traveller.record.view import UnitView
from traveller.vocabulary import UnitKind

Fields = dict[str, str]


def _rating(view: UnitView, name: str, otherwise: float) -> float:
    return view.unit.nameplate.ratings.get(name, otherwise) if view.unit.nameplate else otherwise


def _nothing(_view: UnitView, _chance: random.Random) -> Fields:
    """Everything comes from the record."""
    return {}


def _discharge(view: UnitView, chance: random.Random) -> Fields:
    peak = math.sqrt(2) * _rating(view, "supply_volts", 230)
    return {"resistance": f"{chance.choice((18, 22, 33))}k", "voltage": f"{peak:.0f}"}


def _discharge_watched(_view: UnitView, chance: random.Random) -> Fields:
    return {
        "first": f"{chance.randrange(90, 140)}",
        "second": f"{chance.randrange(20, 40)}",
        "seconds_between": "60",
    }


def _discharge_resistor(view: UnitView, _chance: random.Random) -> Fields:
    return {"voltage": f"{math.sqrt(2) * _rating(view, 'supply_volts', 230):.0f}", "seconds": "5"}


def _signature(_view: UnitView, chance: random.Random) -> Fields:
    """A junction traced from −1 V to 1 V, and a sound sibling."""
    volts = [step / 10 for step in range(-10, 11)]
    amps = [1e-3 * math.expm1(max(one, 0.0) / 0.3) for one in volts]
    trace = "; ".join(f"{v:g} {a:.4g}" for v, a in zip(volts, amps, strict=True))
    sibling = "; ".join(f"{v:g} {a * chance.uniform(0.99, 1.01):.4g}" for v, a in zip(volts, amps, strict=True))
    return {"reference": trace, "suspect": sibling, "limit_percent": "5"}


def _diodes(view: UnitView, chance: random.Random) -> Fields:
    drive = view.unit.nameplate is not None and view.unit.nameplate.unit_kind is not UnitKind.POWER_SUPPLY
    count, middle = (6, 0.43) if drive else (4, 0.41)
    volts = " ".join(f"{middle + chance.uniform(-0.01, 0.01):.3f}" for _ in range(count))
    return {"volts": volts, "rule": "transistor module" if drive else "rectifier diode"}


def _siblings(_view: UnitView, chance: random.Random) -> Fields:
    return {
        "readings": " ".join(f"{10 + chance.uniform(-0.2, 0.2):.2f}" for _ in range(3)),
        "tolerance": "10",
    }


def _gates(_view: UnitView, chance: random.Random) -> Fields:
    return {"readings": " ".join(f"{21 + chance.uniform(-0.6, 0.6):.1f}" for _ in range(6))}


def _bank(view: UnitView, chance: random.Random) -> Fields:
    new = _rating(view, "dc_link_capacitance", 470e-6)
    measured = new * (1 + chance.uniform(-0.04, 0.04))
    return {"capacitance": f"{measured * 1e6:.0f}u", "esr": "0.031", "new_esr": "0.029"}


def _warranty(view: UnitView, _chance: random.Random) -> Fields:
    arrived = (view.unit.booked_at or view.entries[0].at).date()
    return {"released_on": (arrived - timedelta(days=41)).isoformat(), "arrived_on": arrived.isoformat()}


def _chargeable(view: UnitView, _chance: random.Random) -> Fields:
    side = 34 + round(math.sqrt(_rating(view, "output_power", 0)) / 5)
    return {"length_cm": f"{side + 12}", "width_cm": f"{side}", "height_cm": f"{side - 6}"}


def _armature(view: UnitView, chance: random.Random) -> Fields:
    """Six-pulse bridge, continuous current: 1.35 times line volts times the cosine of the firing angle."""
    volts = 1.35 * _rating(view, "supply_volts", 400) * math.cos(math.radians(30))
    return {"firing_angle": "30", "measured_volts": f"{volts * chance.uniform(0.985, 0.998):.0f}"}


def _steady(_view: UnitView, chance: random.Random) -> Fields:
    end = chance.uniform(52, 66)
    readings = " ".join(f"{end - below:.1f}" for below in (17, 1.1, 0.4, 0))
    return {"times_min": "0 30 60 90", "temperatures": readings, "ambient": "24"}


def _hot_spot(_view: UnitView, chance: random.Random) -> Fields:
    similar = chance.uniform(55, 68)
    return {
        "spot": f"{similar + 0.6:.1f}",
        "similar": f"{similar:.1f}",
        "ambient": "24",
        "load_fraction": "1",
    }


CALCULATIONS: Mapping[str, Callable[[UnitView, random.Random], Fields]] = {
    "reforming.reforming": _nothing,
    "warranty.warranty": _warranty,
    "discharge.discharge": _discharge,
    "discharge.discharge_from_readings": _discharge_watched,
    "intermittent.runs_needed": lambda _view, _chance: {"worst_rate": "0.01", "confidence": "0.95"},
    "intermittent.intermittent": lambda _view, chance: {
        "runs": str(chance.randrange(300, 420)),
        "failures": "0",
    },
    "resistor.discharge_resistor": _discharge_resistor,
    "diodes.diode_check": _diodes,
    "signature.signature": _signature,
    "gates.gate_resistance": _gates,
    "siblings.odd_one_out": _siblings,
    "moisture.floor_life": lambda _view, chance: {
        "msl": "3",
        "exposed_h": str(chance.randrange(4, 60)),
        "body_mm": "1.4",
    },
    "capacitors.capacitor_health": _bank,
    "capacitor_life.capacitor_life": lambda _view, chance: {
        "rated_life_h": "5000",
        "rated_temperature": "105",
        "temperature": str(chance.randrange(52, 68)),
    },
    "self_heating.self_heating": lambda _view, chance: {
        "ripple": f"{chance.uniform(1.5, 2.5):.2f}",
        "surface_cm2": "64.6",
        "diameter_mm": "35",
        "esr": "80m",
    },
    "substitute.substitute": lambda _view, _chance: {
        "original_voltage": "400",
        "offered_voltage": "450",
        "original_temperature": "85",
        "offered_temperature": "105",
        "original_pitch_mm": "10",
        "offered_pitch_mm": "10",
    },
    "protective_conductor.protective_conductor": lambda _view, chance: {
        "resistance": f"{chance.uniform(0.03, 0.08):.3f}",
        "length_m": "2",
        "cross_section_mm2": "2.5",
    },
    "insulation.insulation": lambda _view, chance: {
        "resistance": f"{chance.randrange(180, 900)}M",
        "temperature": "22",
        "test_voltage": "1000",
        "circuit_voltage": "400",
        "specimen": "motor and cable, as a drive maker asks",
    },
    "leakage_current.leakage_current": lambda _view, chance: {"leakage": f"{chance.uniform(0.3, 1.1):.2f}m"},
    "voltage_test.voltage_test": lambda _view, _chance: {"rated_volts": "400", "applied": "1400"},
    "defects.defect_rate": lambda _view, chance: {
        "defects": "1",
        "opportunities_per_unit": f"{chance.randrange(90, 400)}",
    },
    "converter.converter_output": _armature,
    "speed.speed_regulation": lambda _view, chance: {
        "no_load": "1500",
        "full_load": f"{chance.randrange(1478, 1494)}",
    },
    "steady.steady": _steady,
    "overload.overload": lambda _view, _chance: {"segments": "150x60, 75x120"},
    "winding.winding_temperature": lambda _view, chance: {
        "cold_ohms": "0.412",
        "cold_c": "23",
        "hot_ohms": f"{0.412 * chance.uniform(1.18, 1.24):.4f}",
        "ambient": "24",
    },
    "emissivity.emissivity": lambda _view, chance: {
        "apparent": f"{chance.uniform(38, 52):.1f}",
        "emissivity": "0.95",
        "reflected": "23",
    },
    "budget.instrument_budget": lambda _view, _chance: {
        "parts": "0.0021/5:repeat 0.006:rectangular 0.001:resolution",
        "reading": "5.02",
        "at_least": "4.95",
        "at_most": "5.05",
    },
    "hot_spot.hot_spot": _hot_spot,
    "weight.chargeable_weight": _chargeable,
    "lithium.lithium": lambda _view, _chance: {
        "chemistry": "lithium metal",
        "cells": "1",
        "batteries": "0",
        "grams": "0.1",
    },
    "marking.marking": lambda _view, _chance: {"code": "4K7", "reading": "4k68"},
}
