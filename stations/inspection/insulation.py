"""Insulation resistance of motor, cable or brake resistor, carried to a standard temperature.

R40 = R · 0.5^((40 − T) / 10): the resistance halves for every 10 K. PI = R10min / R1min. Never on the drive
itself, unless its service manual gives a procedure: makers forbid it.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field

from traveller.errors import InputError
from traveller.judgement import Figure, Finding, Verdict, measured, worst
from traveller.quantities import show

from .insulation_limits import Correction, Row, Rule, limits

CAUTION = (
    "A good reading is no proof that it is safe to touch. "
    "Never on the drive or its electronics, unless its service manual gives a procedure: makers forbid it. "
    "Unplug the drive, surge arresters and filters first. The tester puts its voltage on what you touch: "
    "keep people off. Afterwards discharge for at least as long as you measured. Local rules come first."
)
LARGEST = 1e18


class Insulation(BaseModel):
    """The reading after one minute, how it was taken, and which minimum holds."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    resistance: float = measured("Ω", "reading after one minute, OL for overrange", at_least=0)
    temperature: float = measured("°C", "temperature of the winding or part", at_least=-40, at_most=200)
    test_voltage: float = measured("V", "test voltage, DC", above=0, at_most=20_000)
    circuit_voltage: float = measured("V", "voltage that the circuit is made for, AC", above=0, at_most=100_000)
    resistance_1min: float | None = measured(
        "Ω", "for the polarisation index, if another run: after 1 min", default=None, at_least=0
    )
    resistance_10min: float | None = measured("Ω", "for the polarisation index: after 10 min", default=None, at_least=0)
    specimen: Literal[
        "circuit, by its voltage",
        "circuit, by its voltage, older edition",
        "power circuit to earth",
        "mains unit, protection class I",
        "mains unit with heaters, class I",
        "mains unit, protection class II",
        "unit of protection class III",
        "brake resistor",
        "motor and cable, as a drive maker asks",
        "random-wound motor below 1 kV",
        "armature of a DC motor",
        "form-wound motor since 1970",
        "motor wound before 1970",
        "unit, by its own service manual",
    ] = Field(default="circuit, by its voltage", description="what was measured; it sets the minimum")
    correction: Correction = Field(default="halves every 10 K", description="how temperature counts")
    insulation_class: Literal["A", "B, F or H"] = Field(
        default="B, F or H", description="of the winding; it sets the least polarisation index"
    )
    manual_minimum: float | None = measured(
        "Ω", "minimum in the unit's service manual", default=None, above=0, at_most=1e15
    )


class Part(NamedTuple):
    """What one of the two measures comes to."""

    verdict: Verdict
    says: str
    working: tuple[str, ...]
    values: tuple[Figure, ...] = ()
    sources: tuple[str, ...] = ()


def insulation(given: Insulation) -> Finding:
    """Insulation resistance at 40 °C against its minimum, and the polarisation index if it was measured.

    Values: at_40c_ohm and minimum_ohm (Ω), polarisation_index when a reading after 10 minutes is given.
    A minimum that is published for a temperature is compared with the reading carried there; the others with
    the reading itself; the minimum itself passes. Undecided when measured with less than the rule's test
    voltage, or when the index is above 8. Raises InputError if the rule needs a figure that was not given.
    Source: IEC 60364-6, IEC 60204-1, IEEE 43 and makers' manuals, each named beside its figure in
    insulation.toml.
    """
    rule = next(one for one in limits().rule if one.name == given.specimen)
    row = _row(rule, given)
    parts = [_resistance(rule, row, given)]
    if given.resistance_10min is not None:
        parts.append(_polarisation(given, given.resistance_10min))
    where = "as read" if rule.at_celsius is None else f"at {rule.at_celsius:g} °C"
    return Finding(
        verdict=worst(part.verdict for part in parts),
        says="; ".join(part.says for part in parts),
        values=tuple(figure for part in parts for figure in part.values),
        limit=f"at least {show(row.minimum, 'Ω')} {where}",
        working=tuple(line for part in parts for line in part.working),
        source="; ".join(source for part in parts for source in part.sources),
        caution=CAUTION,
    )


def _row(rule: Rule, given: Insulation) -> Row:
    if not rule.by_manual:
        return rule.row_of(given.circuit_voltage)
    if given.manual_minimum is None:
        raise InputError(
            "Type the minimum that the service manual of the unit gives. If it gives no procedure, do "
            "not measure insulation on the unit at all: answer not applicable."
        )
    return Row(minimum=given.manual_minimum)


def _resistance(rule: Rule, row: Row, given: Insulation) -> Part:
    known = limits()
    at_reference = known.carried(given.resistance, given.temperature, known.reference_celsius, given.correction)
    compared = given.resistance
    if rule.at_celsius is not None:
        compared = known.carried(given.resistance, given.temperature, rule.at_celsius, given.correction)
    where = "as read" if rule.at_celsius is None else f"at {rule.at_celsius:g} °C"
    at_least, shown = show(row.minimum, "Ω"), f"{show(compared, 'Ω')} {where}"
    read = f"{show(given.resistance, 'Ω')} at {given.temperature:g} °C"
    line, source = _correction(given, read)
    if compared < row.minimum:
        verdict, says = Verdict.FAIL, f"{shown} is below {at_least}"
    elif row.test_volts is not None and given.test_voltage < row.test_volts:
        volts, wanted = show(given.test_voltage, "V"), show(row.test_volts, "V")
        verdict, says = Verdict.UNDECIDED, f"{shown}, but measured with {volts}: measure again with {wanted}"
    else:
        verdict, says = Verdict.PASS, f"{shown} is at or above {at_least}"
    return Part(
        verdict,
        says,
        (
            f"{line} = {show(at_reference, 'Ω')}",
            f"minimum of {rule.name}, {show(given.circuit_voltage, 'V')}: {at_least}",
            f"compared {where}: {show(compared, 'Ω')} with {at_least}; the minimum itself passes",
        ),
        (
            Figure(name="at_40c_ohm", value=at_reference, unit="Ω"),
            Figure(name="minimum_ohm", value=row.minimum, unit="Ω"),
        ),
        (rule.source, source),
    )


def _correction(given: Insulation, read: str) -> tuple[str, str]:
    """The formula with the reading put in, and where it stands."""
    known = limits()
    at = f"{known.reference_celsius:g} °C"
    if given.correction == "thermoset winding":
        return f"R at {at} = R × Kt, thermosetting winding: {read}", known.thermoset.source
    return f"R at {at} = R × 0.5^(({at} − T) / {known.halving.kelvin:g} K): {read}", known.halving.source


def _polarisation(given: Insulation, after_ten: float) -> Part:
    rule = limits().polarisation
    after_one = given.resistance if given.resistance_1min is None else given.resistance_1min
    shown = f"{show(after_ten, 'Ω')} / {show(after_one, 'Ω')}"
    if after_one == 0:
        return Part(Verdict.FAIL, "no polarisation index, there is a short", (f"PI = {shown}: not defined",))
    if math.isinf(after_one) or after_ten > LARGEST * after_one:
        words = "beyond the range of the meter the polarisation index says nothing"
        return Part(Verdict.PASS, words, (f"PI = {shown}: not defined",), (), (rule.source,))
    index = after_ten / after_one
    least = rule.least[given.insulation_class]
    verdict, words = _index_verdict(index, least, after_one)
    return Part(
        verdict,
        words,
        (f"PI = R10min / R1min = {shown} = {index:.4g}, class {given.insulation_class}: at least {least:g}",),
        (Figure(name="polarisation_index", value=index),),
        (rule.source,),
    )


def _index_verdict(index: float, least: float, after_one: float) -> tuple[Verdict, str]:
    rule = limits().polarisation
    if after_one > rule.meaningless_above:
        return Verdict.PASS, f"polarisation index {index:.3g} says nothing above {show(rule.meaningless_above, 'Ω')}"
    if index < least:
        return Verdict.FAIL, f"polarisation index {index:.3g} is below {least:g}: wet or dirty"
    if index > rule.dry_above:
        return Verdict.UNDECIDED, f"polarisation index {index:.3g} is above {rule.dry_above:g}: perhaps dry and brittle"
    return Verdict.PASS, f"polarisation index {index:.3g}"
