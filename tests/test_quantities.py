"""What is typed at the bench: against published markings and prefixes."""

from __future__ import annotations

import math

import pytest

from traveller.errors import InputError
from traveller.quantities import UNITS, Quantity, read_quantities, read_quantity, show, show_quantity

RKM = "P-1, T9-01: RKM code (IEC 60062:2016), https://en.wikipedia.org/wiki/IEC/EN_60062"
RKM_RULE = "P-3: same rule, computed"
RKM_MEMORY = "P-4, P-5: IEC 60062, from memory: check before relying on it"
BS_1852 = "T9-02: BS 1852 page of electrostudy (1R8J, 27KK) and its ±5 % and ±10 %, computed"
SI_K = "P-6: https://www.physics.nist.gov/cgi-bin/cuu/Info/Units/prefixes.html and P-1"
SI_CASE = "P-7, P-8: https://www.ece.utoronto.ca/canadian-metric-association/20-si-prefixes/"
SI_2022 = "P-10: the 24 prefixes since 2022, https://wikimili.com/en/Metric_prefix"
SI_TRAP = "P-11: 1 mg = 10^-6 kg; a page of NIST read without superscripts loses the minus"
DECIMAL_COMMA = "P-12: design, a decimal comma is one number"

PUBLISHED = [
    ("R47", "Ω", 0.47, RKM),
    ("4R7", "Ω", 4.7, RKM),
    ("470R", "Ω", 470.0, RKM),
    ("4K7", "Ω", 4_700.0, RKM),
    ("47K", "Ω", 47_000.0, RKM),
    ("47K3", "Ω", 47_300.0, RKM),
    ("470K", "Ω", 470_000.0, RKM),
    ("4M7", "Ω", 4_700_000.0, RKM),
    ("2k2", "Ω", 2_200.0, RKM_RULE),
    ("470n", "F", 4.7e-7, RKM_RULE),
    ("3n3", "F", 3.3e-9, RKM_RULE),
    ("4u7", "F", 4.7e-6, RKM_RULE),
    ("100p", "F", 1e-10, RKM_RULE),
    ("2m2", "F", 2.2e-3, RKM_RULE),
    ("4L7", "Ω", 0.0047, RKM_MEMORY),
    ("4K7J", "Ω", 4_700.0, RKM_MEMORY),
    ("4K7M", "Ω", 4_700.0, RKM_MEMORY),
    ("4n7K", "F", 4.7e-9, RKM_MEMORY),
    ("1R8J", "Ω", 1.8, BS_1852),
    ("8R2", "Ω", 8.2, BS_1852),
    ("0R56", "Ω", 0.56, BS_1852),
    ("4K7J", "Ω", (4_465 + 4_935) / 2, BS_1852),
    ("27KK", "Ω", (24_300 + 29_700) / 2, BS_1852),
    ("5 kΩ", "Ω", 5_000.0, SI_K),
    ("5 KΩ", "Ω", 5_000.0, SI_K),
    ("5 K", "K", 5.0, SI_K),
    ("10 mA", "A", 0.01, SI_CASE),
    ("10 MA", "A", 1e7, SI_CASE),
    ("3 \u00b5A", "A", 3e-6, SI_CASE),
    ("3 \u03bcA", "A", 3e-6, SI_CASE),
    ("3 uA", "A", 3e-6, SI_CASE),
    ("1 QV", "V", 1e30, SI_2022),
    ("1 RV", "V", 1e27, SI_2022),
    ("1 rV", "V", 1e-27, SI_2022),
    ("1 qV", "V", 1e-30, SI_2022),
    ("1 mg", "kg", 1e-6, SI_TRAP),
    ("4,7k", "Ω", 4_700.0, DECIMAL_COMMA),
    ("4.7k", "Ω", 4_700.0, DECIMAL_COMMA),
    ("0,620", "V", 0.62, DECIMAL_COMMA),
    ("1.000", "V", 1.0, DECIMAL_COMMA),
]

# Values by hand: 1 h = 60 min = 3600 s (SI brochure, 9th edition, table 8), 1 kg = 1000 g, 1 Wh = 3600 J.
TYPED = [
    ("0.62", "V", 0.62),
    ("0,62", "V", 0.62),
    (" 0.62 V ", "V", 0.62),
    ("0.62\u00a0V", "V", 0.62),
    ("620 mV", "V", 0.62),
    ("\u22120.3", "V", -0.3),
    ("3V3", "V", 3.3),
    ("24v", "V", 24.0),
    ("400V", "V", 400.0),
    ("1e3", "V", 1000.0),
    ("1.2e-3", "V", 0.0012),
    ("470 uF", "F", 470e-6),
    ("4u7F", "F", 4.7e-6),
    ("100nJ", "F", 100e-9),
    ("4.7 ohm", "Ω", 4.7),
    ("4.7 Ohm", "Ω", 4.7),
    ("4.7 \u2126", "Ω", 4.7),
    ("4.7 \u03a9", "Ω", 4.7),
    ("4.7k\u2126", "Ω", 4700.0),
    ("550 M", "Ω", 550e6),
    ("61.2 °C", "°C", 61.2),
    ("61.2C", "°C", 61.2),
    ("61.2 degC", "°C", 61.2),
    ("-273.15", "°C", -273.15),
    ("12:40", "min", 760.0),
    ("1:05:30", "s", 3930.0),
    ("2h30", "h", 2.5),
    ("2 h 6 min", "h", 2.1),
    ("90 min", "h", 1.5),
    ("1.5 h", "s", 5400.0),
    ("850 g", "kg", 0.85),
    ("1.2 Wh", "J", 4320.0),
    ("5m", "m", 5.0),
    ("5 mm", "m", 0.005),
    ("5 cm", "mm", 50.0),
    ("2.5 Nm", "N·m", 2.5),
    ("2.5 N·m", "N·m", 2.5),
    ("2.5 N m", "N·m", 2.5),
    ("2.5 N.m", "N·m", 2.5),
    ("1480 rpm", "rpm", 1480.0),
    ("1480 1/min", "rpm", 1480.0),
    ("1480 min-1", "rpm", 1480.0),
    ("45 µC", "C", 45e-6),
    ("12", "", 12.0),
]

REFUSED = [
    ("470 µµF", "F", "two prefixes"),  # P-9
    ("5 mµ", "F", "two prefixes"),  # P-9
    ("1,000", "V", "1000 or 1.000"),  # P-12
    ("1,000k", "Ω", "1000 or 1.000"),  # P-12
    ("1.000,5", "V", "two decimal signs"),
    ("5 K", "V", "kilo for ohms only"),  # P-6
    ("5 k", "K", "not used with kelvins"),  # P-6
    ("10 MF", "F", "not used with farads"),
    ("5k", "m", "not used with metres"),
    ("2m2", "m", "not a unit of length"),
    ("5m", "s", "length"),  # minutes or milli: nobody knows
    ("10kJ", "Ω", "energy"),
    ("5MW", "Ω", "power"),
    ("0L", "Ω", "may be OL or zero"),
    (".0L", "Ω", "may be OL or zero"),
    ("> OL", "Ω", "type OL alone"),
    ("OL V", "Ω", "voltage"),
    ("2h30", "V", "time"),
    ("1:60", "h", "not a unit of time"),
    ("2h5", "h", "not a unit of time"),  # 2.5 h or 2 h 5 min
    ("nan", "V", "cannot be read"),
    ("inf", "V", "cannot be read"),
    ("1e999", "V", "exponent"),
    ("1e-999", "V", "exponent"),
    ("", "V", "Nothing was typed"),
    ("   ", "V", "Nothing was typed"),
    (">", "V", "no number"),
    ("5 6", "V", "more than one number"),
    ("5 V 6 V", "V", "more than one number"),
    ("5\t", "V", "control"),
    ("5\u200b", "V", "control"),
    ("1" * 65, "V", "65 characters"),
    ("-273.16", "°C", "absolute zero"),
    ("-1", "K", "absolute zero"),
    ("5", "kV", "not a unit that checks can ask for"),
]


@pytest.mark.parametrize(("text", "unit", "value", "source"), PUBLISHED)
def test_published_markings_and_prefixes(text: str, unit: str, value: float, source: str) -> None:
    read = read_quantity(text, unit)
    assert (read.value, read.unit, read.bound, read.typed) == (value, unit, "exact", text), source


@pytest.mark.parametrize(("text", "unit", "value"), TYPED)
def test_what_technicians_type(text: str, unit: str, value: float) -> None:
    assert read_quantity(text, unit) == Quantity(value=value, unit=unit, typed=text)


@pytest.mark.parametrize(("text", "unit", "words"), REFUSED)
def test_refused_with_a_sentence(text: str, unit: str, words: str) -> None:
    with pytest.raises(InputError) as refusal:
        read_quantity(text, unit)
    assert words in str(refusal.value)


def test_another_kind_is_named_beside_the_one_asked_for() -> None:
    with pytest.raises(InputError) as refusal:
        read_quantity("5 A", "V")
    assert str(refusal.value) == (
        "That is a current (A); this check asks for volts (V): type for example 0.62 or 620 mV"
    )


@pytest.mark.parametrize(
    ("text", "value", "bound", "shown"),
    [
        ("> 550 M", 550e6, "above", "> 550 MΩ"),
        (">550MΩ", 550e6, "above", "> 550 MΩ"),
        ("<5", 5.0, "below", "< 5 Ω"),
        ("OL", math.inf, "overrange", "overrange"),
        ("O.L.", math.inf, "overrange", "overrange"),
        ("ol", math.inf, "overrange", "overrange"),
        ("OL MΩ", math.inf, "overrange", "overrange"),
    ],
)
def test_bounds_and_overrange(text: str, value: float, bound: str, shown: str) -> None:
    read = read_quantity(text, "Ω")
    assert (read.value, read.bound, show_quantity(read)) == (value, bound, shown)


@pytest.mark.parametrize(
    ("text", "unit", "values"),
    [
        ("0,62", "V", [0.62]),
        ("0.62 0.63 0.61", "V", [0.62, 0.63, 0.61]),
        ("0,62, 0,63", "V", [0.62, 0.63]),
        ("0.62;0.63", "V", [0.62, 0.63]),
        ("620 mV/0.63 V / OL", "V", [0.62, 0.63, math.inf]),
        ("> 550 M OL R47", "Ω", [550e6, math.inf, 0.47]),
        ("1480 1/min 1475 1/min", "rpm", [1480.0, 1475.0]),
        ("5 N m 6 N m", "N·m", [5.0, 6.0]),
    ],
)
def test_lists(text: str, unit: str, values: list[float]) -> None:
    assert [read.value for read in read_quantities(text, unit, len(values))] == values


@pytest.mark.parametrize(
    ("text", "count", "words"),
    [
        ("0.62 0.63", 3, "3 values are expected, 2 were read"),
        ("0.62 0.63", 1, "1 value is expected, 2 were read"),
        ("0.62; 5 A; 0.63", 3, "Value 2 of 3: That is a current (A)"),
        ("0.62;;0.63", None, "Value 2 of 3: Nothing was typed"),
        ("0.62,0.63", None, "a space after each comma"),
        ("", None, "Nothing was typed"),
        ("1 " * 1001, None, "2002 characters"),
    ],
)
def test_lists_refused_with_the_place_or_the_number(text: str, count: int | None, words: str) -> None:
    with pytest.raises(InputError) as refusal:
        read_quantities(text, "V", count)
    assert words in str(refusal.value)


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (2200.0, "Ω", "2.2 kΩ"),
        (470e-6, "F", "470 µF"),
        (0.62, "V", "0.62 V"),
        (-0.3, "V", "-0.3 V"),
        (61.2, "°C", "61.2 °C"),
        (1000.0, "Ω", "1 kΩ"),
        (999.96, "Ω", "1 kΩ"),
        (999.94, "Ω", "999.9 Ω"),
        (999.96, "°C", "1000 °C"),
        (0.0999996, "V", "0.1 V"),
        (0.05, "s", "50 ms"),
        (3600.0, "s", "3600 s"),
        (12345.0, "rpm", "12345 rpm"),
        (0.0005, "kg", "0.0005 kg"),
        (62.5, "%", "62.5 %"),
        (12.0, "", "12"),
        (-0.0, "V", "0 V"),
        (math.inf, "V", "overrange"),
        (math.nan, "V", "not a number"),
        (3.0, "W/K", "3 W/K"),
    ],
)
def test_shown_for_people(value: float, unit: str, shown: str) -> None:
    assert show(value, unit) == shown


@pytest.mark.parametrize("unit", sorted(UNITS))
def test_the_example_in_every_sentence_can_be_typed(unit: str) -> None:
    for typed in UNITS[unit].example.replace(" or ", ", ").replace(" (h:mm)", "").split(", "):
        assert read_quantity(typed, unit).bound == "exact"
