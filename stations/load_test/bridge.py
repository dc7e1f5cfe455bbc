"""Currents of a six-pulse thyristor bridge, and the DC motor behind it.

Smooth current Id: line √(2/3) · Id, each thyristor Id / 3 in the mean and Id / √3 rms, power factor (3/π) · cos α.
Through a resistor up to 60°: Vrms = √2 · U · √(1/2 + (3√3 / 4π) · cos 2α).
"""

from __future__ import annotations

import math
from typing import NamedTuple

from traveller.errors import InputError
from traveller.judgement import Figure
from traveller.quantities import show

GAPLESS = 60.0
NEARLY = 1e-9


class Motor(NamedTuple):
    """Volts per rpm at its field, armature resistance (Ω) and current (A)."""

    volts_per_rpm: float
    ohms: float
    amps: float

    def volts(self, rpm: float) -> float:
        """Terminal volts at a speed: negative turning the other way."""
        return self.volts_per_rpm * rpm + self.amps * self.ohms

    def rpm(self, volts: float) -> float:
        return (volts - self.amps * self.ohms) / self.volts_per_rpm


def smooth(amps: float, angle: float) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """Line and thyristor currents (A) of a smooth direct current, and the power factor of the line."""
    line, factor = math.sqrt(2 / 3) * amps, 3 / math.pi * math.cos(math.radians(angle))
    return (
        Figure(name="line_amps", value=line, unit="A"),
        *_thyristor(amps, amps),
        Figure(name="power_factor", value=factor),
    ), (f"line √(2/3) × {show(amps, 'A')} = {show(line, 'A')}, power factor (3/π) × cos {angle:.4g}° = {factor:.4g}",)


def through_resistor(
    line_volts: float, volts: float, angle: float, ohms: float
) -> tuple[tuple[Figure, ...], tuple[str, ...]]:
    """Mean and rms of the current through a resistor, and the share of its heat that the mean values make.

    InputError above 60°: there the current has gaps, and the mean volts are others.
    """
    if angle > GAPLESS + NEARLY:
        raise InputError(
            f"Through a resistor the current has gaps above {GAPLESS:g}°, and this does not hold at {angle:.4g}°: take "
            "a smaller angle, or leave the ohms out."
        )
    share = 0.5 + 3 * math.sqrt(3) / (4 * math.pi) * math.cos(math.radians(2 * angle))
    volts_rms = math.sqrt(2) * line_volts * math.sqrt(share)
    amps, amps_rms = volts / ohms, volts_rms / ohms
    efficiency = 100 * (volts / volts_rms) ** 2
    return (
        Figure(name="amps", value=amps, unit="A"),
        Figure(name="volts_rms", value=volts_rms, unit="V"),
        Figure(name="amps_rms", value=amps_rms, unit="A"),
        *_thyristor(amps, amps_rms),
        Figure(name="efficiency", value=efficiency, unit="%"),
    ), (
        f"through {show(ohms, 'Ω')}: {show(amps, 'A')} in the mean, {show(volts_rms, 'V')} rms,"
        f" {show(amps_rms, 'A')} rms",
        f"η = (mean volts × mean amps) / (rms × rms) = {efficiency:.4g} %",
    )


def _thyristor(mean: float, rms: float) -> tuple[Figure, ...]:
    """Each of them carries a third of the time."""
    return (
        Figure(name="thyristor_average_a", value=mean / 3, unit="A"),
        Figure(name="thyristor_rms_a", value=rms / math.sqrt(3), unit="A"),
    )
