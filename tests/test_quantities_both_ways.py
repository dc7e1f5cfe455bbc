"""Typed, shown and stored values come back as they were, whatever is typed."""

from __future__ import annotations

import json
import math

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from traveller.errors import InputError
from traveller.quantities import UNITS, Quantity, read_quantities, read_quantity, show

UNIT = st.sampled_from(sorted(UNITS))
FINITE = st.floats(allow_nan=False, allow_infinity=False, min_value=-1e290, max_value=1e290)
READING = st.floats(min_value=-1e14, max_value=1e14)


def _possible(value: float, unit: str) -> bool:
    return value >= {"°C": -273.0, "K": 0.0}.get(unit, -math.inf)


@given(FINITE, UNIT)
@example(1e-20, "V")
@example(1e20, "F")
def test_shown_in_full_reads_back_exactly(value: float, unit: str) -> None:
    assume(_possible(value, unit) and (value == 0 or abs(value) > 1e-290))
    assert read_quantity(show(value, unit, digits=17), unit).value == value


@given(READING, UNIT)
@example(0.0999996, "V")
@example(999.96, "Ω")
def test_shown_short_reads_back_within_the_rounding(value: float, unit: str) -> None:
    assume(_possible(value, unit) and (value == 0 or abs(value) > 1e-290))
    shown = show(value, unit)
    assert read_quantity(shown, unit).value == pytest.approx(value, rel=5.01e-4)
    assert show(read_quantity(shown, unit).value, unit) == shown


PIECES = st.sampled_from([*"0123456789", *"kKmMuµpnGRLFJVAΩhC.,:;/-+−<>eE% ", "OL", "1/min", "°C", "N m"])


@settings(max_examples=300)
@given(st.one_of(st.text(max_size=70), st.lists(PIECES, max_size=9).map("".join)), UNIT)
def test_any_text_is_a_quantity_or_a_sentence(text: str, unit: str) -> None:
    for read in (read_quantity, read_quantities):
        try:
            answer = read(text, unit)
        except InputError as refusal:
            assert str(refusal).isprintable()
            continue
        for quantity in (answer,) if isinstance(answer, Quantity) else answer:
            assert quantity.unit == unit
            assert Quantity.model_validate_json(quantity.model_dump_json()) == quantity


@pytest.mark.parametrize("text", ["4K7J", "> 550 M", "OL"])
def test_json_without_infinity_and_back(text: str) -> None:
    read = read_quantity(text, "Ω")
    assert Quantity.model_validate_json(read.model_dump_json()) == read
    strict = json.dumps(read.model_dump(mode="json"), allow_nan=False)
    assert Quantity.model_validate(json.loads(strict)) == read
    assert Quantity.model_validate(read.model_dump()) == read


@pytest.mark.parametrize(
    ("value", "bound"),
    [(math.nan, "exact"), (math.inf, "exact"), (-math.inf, "overrange"), (5.0, "overrange"), (None, "above")],
)
def test_only_an_overrange_is_infinite(value: float | None, bound: str) -> None:
    with pytest.raises(ValidationError):
        Quantity.model_validate({"value": value, "unit": "V", "bound": bound})
