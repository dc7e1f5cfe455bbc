"""Component work: what is printed on resistors, against figures published elsewhere."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from stations.component_work.marking import Marking, marking
from stations.component_work.series import NAMES, eia_96, nearest, next_up, preferred
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import FROM_MEMORY, Verdict


def ohms(code: str, reading: float | None = None) -> float:
    return float(figures(marking(Marking(code=code, reading=reading)))["value"])


@pytest.mark.parametrize(
    ("code", "value"),
    [
        ("R47", 0.47),
        ("4R7", 4.7),
        ("470R", 470),
        ("4K7", 4700),
        ("47K", 47e3),
        ("47K3", 47.3e3),
        ("470K", 470e3),
        ("4M7", 4.7e6),
        ("1R8J", 1.8),  # electrostudy.com, BS 1852
        ("27KK", 27e3),
        ("220", 22),  # three and four digits, and letters as the point
        ("330", 33),
        ("683", 68e3),
        ("105", 1e6),
        ("4992", 49.9e3),
        ("1000", 100),
        ("8R2", 8.2),
        ("0R56", 0.56),
        ("66B", 4750),  # wildernesslabs.co, EIA-96
        ("68X", 49.9),
        ("01C", 10e3),
    ],
)
def test_codes_as_published(code: str, value: float) -> None:
    """Wikipedia "RKM code" (IEC 60062), and the pages named beside the rows."""
    assert ohms(code) == pytest.approx(value)


@pytest.mark.parametrize(("code", "low", "high"), [("4K7J", 4465, 4935), ("27KK", 24.3e3, 29.7e3)])
def test_tolerance_letters(code: str, low: float, high: float) -> None:
    """J is 5 %, K is 10 % (electrostudy.com, BS 1852)."""
    found = figures(marking(Marking(code=code)))
    assert [found["low"], found["high"]] == pytest.approx([low, high])


@pytest.mark.parametrize(("number", "value"), [(1, 100), (2, 102), (37, 237), (42, 267), (68, 499), (96, 976)])
def test_eia_96_numbers(number: int, value: int) -> None:
    """The E96 list (qsl.net/g4usp). A blog prints 237 for code 42: that is code 37."""
    assert eia_96(number) == value
    assert ohms(f"{number:02}A") == value


LETTERS = {"E": 0.005, "L": 0.01, "P": 0.02, "W": 0.05, "B": 0.1, "C": 0.25, "D": 0.5} | {
    "F": 1,
    "G": 2,
    "H": 3,
    "J": 5,
    "K": 10,
    "M": 20,
    "N": 30,
}
E96 = """100 102 105 107 110 113 115 118 121 124 127 130 133 137 140 143 147 150 154 158 162 165 169 174 178 182 187
191 196 200 205 210 215 221 226 232 237 243 249 255 261 267 274 280 287 294 301 309 316 324 332 340 348 357 365 374
383 392 402 412 422 432 442 453 464 475 487 499 511 523 536 549 562 576 590 604 619 634 649 665 681 698 715 732 750
768 787 806 825 845 866 887 909 931 953 976"""


def test_the_whole_e96_list() -> None:
    """The list of IEC 60063 (qsl.net/g4usp)."""
    assert [eia_96(number) for number in range(1, 97)] == [int(one) for one in E96.split()]


@pytest.mark.parametrize(
    ("code", "series", "value"),
    [
        ("319R", "e24", 330),  # documentation of the library eseries: 319 to 330, 350 to 360 and, in E12, to 330
        ("350R", "e24", 360),
        ("350R", "e12", 330),
        ("4K7", "e12", 4700),
        ("32R", "e12", 33),  # the formula gives 31.6 for 33: E3 to E24 are lists
        ("38R", "e12", 39),  # a page prints 38 and 83 for 39 and 82
        ("83R", "e12", 82),
        ("184R", "e96", 182),
        ("186R", "e96", 187),
        ("0R0", "e24", 0),
    ],
)
def test_nearest_preferred_value(code: str, series: str, value: float) -> None:
    """IEC 60063."""
    assert figures(marking(Marking(code=code)))[f"nearest_{series}"] == pytest.approx(value)


@pytest.mark.parametrize(
    ("code", "series"),
    [("4K7", "E3"), ("330R", "E6"), ("39R", "E12"), ("36R", "E24"), ("105R", "E48"), ("102R", "E96"), ("103R", "none")],
)
def test_the_coarsest_series_that_has_the_value(code: str, series: str) -> None:
    """IEC 60063 (qsl.net/g4usp)."""
    assert figures(marking(Marking(code=code)))["series"] == series


@settings(max_examples=300)
@given(st.floats(1e-3, 1e9), st.sampled_from(NAMES))
def test_no_other_value_of_the_series_lies_nearer(value: float, series: str) -> None:
    found = nearest(value, series)
    decades = [float(f"{figure}e{power}") for figure in preferred().values(series) for power in range(-5, 11)]
    assert abs(found - value) == pytest.approx(min(abs(one - value) for one in decades), rel=1e-9, abs=1e-12)


@pytest.mark.parametrize(
    ("value", "series", "up"),
    [
        (16_834.2, "E96", 16_900),  # KiCad documentation of its regulator calculator
        (184, "E96", 187),  # documentation of the library eseries: 184 and up in E96; 4700, 5100, 5600 around 5000
        (5000, "E24", 5100),
        (5100, "E24", 5100),
        (5101, "E24", 5600),
        (950, "E12", 1000),
    ],
)
def test_the_next_preferred_value_up(value: float, series: str, up: float) -> None:
    assert next_up(value, series) == pytest.approx(up)


def test_the_next_value_up_stands_in_the_finding() -> None:
    found = figures(marking(Marking(code="184R")))
    assert (found["next_up_e24"], found["next_up_e96"]) == (200, 187)


@settings(max_examples=300)
@given(st.floats(1e-3, 1e9), st.sampled_from(NAMES))
def test_nothing_of_the_series_lies_between_a_value_and_the_next_one_up(value: float, series: str) -> None:
    up = next_up(value, series)
    decades = [float(f"{figure}e{power}") for figure in preferred().values(series) for power in range(-5, 11)]
    assert up == pytest.approx(min(one for one in decades if one >= value * (1 - 1e-9)), rel=1e-8)


@pytest.mark.parametrize(
    ("letter", "percent"),
    list(LETTERS.items()),
)
def test_every_tolerance_letter(letter: str, percent: float) -> None:
    """IEC 60062, from memory except J and K. A page (electrostudy.com) prints L for ±20 %: that is M."""
    finding = marking(Marking(code=f"4K7{letter}"))
    assert figures(finding)["tolerance"] == percent
    assert (FROM_MEMORY in finding.source) == (letter not in "JK")


@pytest.mark.parametrize(("reading", "value"), [(68.3, 68), (4.98, 4.99)])
def test_a_reading_decides_between_two_meanings(reading: float, value: float) -> None:
    """68R: 68 Ω after IEC 60062, 4.99 Ω in EIA-96."""
    assert marking(Marking(code="68R")).verdict is Verdict.UNDECIDED
    finding = marking(Marking(code="68R", reading=reading))
    assert finding.verdict is Verdict.PASS
    assert figures(finding)["value"] == pytest.approx(value)


@pytest.mark.parametrize("reading", [5000, 0, math.inf])
def test_a_reading_that_fits_no_meaning_fails(reading: float) -> None:
    """4K7J ends at 4935 Ω."""
    assert marking(Marking(code="4k7j", reading=reading)).verdict is Verdict.FAIL


@pytest.mark.parametrize("code", ["R", "?", "47Q", "4K7Q", "4K7A", "97A", "4.7k"])
def test_what_is_no_code_is_refused(code: str) -> None:
    with pytest.raises(InputError, match="no resistor code"):
        marking(Marking(code=code))


@settings(max_examples=300)
@given(st.text(alphabet="0123456789RKMGJFBCXZ?. ", min_size=0, max_size=9), st.none() | st.floats(0, 1e9))
def test_any_text_is_read_or_refused(code: str, reading: float | None) -> None:
    try:
        found = figures(marking(Marking(code=code, reading=reading)))
    except (InputError, ValidationError):
        return
    assert float(found["low"]) <= float(found["value"]) <= float(found["high"])
    assert float(found["meanings"]) >= 1
