"""Every judge of every station, hammered: whatever is typed, a finding comes out or a sentence that refuses it.

100 examples each; with HYPOTHESIS_PROFILE=hammer 10,000.
"""

from __future__ import annotations

import datetime
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic.fields import FieldInfo

from traveller.errors import InputError
from traveller.judgement import Finding
from traveller.record.forms import FormField, LoadedJudge, fields_of, read_model
from traveller.stationbook import load_stations

JUDGES = load_stations().judges
HOSTILE = (
    "",
    "0",
    "-1",
    "-0",
    "nan",
    "inf",
    "-inf",
    "OL",
    "> 550 M",
    "1e308",
    "-1e308",
    "5e-324",
    "-300",
    "1,000",
    "0,62",
    "2k2",
    "12:40",
    "x",
    "\0",
    "½",
    "9" * 70,
    "2026-02-30",
    "9999-12-31",
    "yes",
)
SHAPES = (
    st.floats(-1000, 1000),
    st.floats(0, 1),
    st.floats(),
    st.integers(0, 200),
    st.sampled_from((0.0, 1.0, 60.0, 100.0, 105.0)),
    st.floats(1e-12, 1e12),
)
NUMBERS = st.one_of(*(shape.map(lambda one: f"{one:g}") for shape in SHAPES))
ONE = st.one_of(NUMBERS, NUMBERS, NUMBERS, st.sampled_from(HOSTILE))
SPAN = st.one_of(st.floats(-1000, 1000), st.floats(0, 10))
CURVES = st.one_of(
    st.lists(st.tuples(SPAN, SPAN), max_size=8).map(lambda points: "; ".join(f"{x!r} {y!r}" for x, y in points)),
    st.lists(st.tuples(SPAN, SPAN), min_size=2, max_size=8).map(
        lambda points: "; ".join(f"{x!r} {y!r}" for x, y in sorted(points))
    ),
    st.text(max_size=20),
)


def _bounds(info: FieldInfo) -> tuple[float, float]:
    """What the model itself says is possible."""
    low, high = 0.0, 1e3
    for rule in info.metadata:
        low = float(getattr(rule, "ge", getattr(rule, "gt", low)) or 0.0)
        high = float(getattr(rule, "le", getattr(rule, "lt", high)) or high)
    return (low, high) if low <= high else (low, low + 1e3)


def _typed(field: FormField, info: FieldInfo) -> st.SearchStrategy[str]:
    if field.options:
        return st.one_of(st.sampled_from(field.options), st.sampled_from(field.options), ONE)
    if field.curve:
        return CURVES
    if field.many:
        near = st.floats(0, 500).flatmap(lambda middle: st.lists(st.floats(0.9 * middle, 1.1 * middle), max_size=12))
        alike = st.tuples(NUMBERS, st.integers(1, 9)).map(lambda pair: " ".join([pair[0]] * pair[1]))
        series = st.lists(ONE, max_size=12).map(" ".join)
        return st.one_of(near.map(lambda many: " ".join(f"{one:g}" for one in many)), alike, series)
    dates = st.dates(datetime.date(1900, 1, 1)).map(str)
    codes = st.text("0123456789RKMGJF", max_size=6)
    inside = st.floats(*_bounds(info)).map(repr)
    words = st.one_of(dates, codes, st.text(max_size=12))
    return st.one_of(*[inside] * 6, ONE, words)


def _likely(field: FormField, info: FieldInfo) -> st.SearchStrategy[str]:
    """Something that the field most often accepts, so that the judge itself is reached."""
    if field.options:
        return st.sampled_from(field.options)
    if field.many:
        return st.lists(st.floats(0.1, 10).map(lambda one: f"{one:g}"), min_size=1, max_size=4).map(" ".join)
    if field.unit or field.curve or info.annotation in (float, float | None):
        return CURVES if field.curve else st.floats(*_bounds(info)).map(repr)
    return _typed(field, info)


def _fields(judge: LoadedJudge) -> st.SearchStrategy[dict[str, str]]:
    """Something for every field that is needed, and for some of the others: half of the time likely things."""
    kinds = []
    for typed in (_likely, _typed):
        asked = [(field, typed(field, judge.model.model_fields[field.name])) for field in fields_of(judge.model)]
        needed = {field.name: strategy for field, strategy in asked if field.required}
        other = {field.name: strategy for field, strategy in asked if not field.required}
        kinds.append(st.fixed_dictionaries(needed, optional=other))
    return st.one_of(kinds)


TYPED = {name: _fields(judge) for name, judge in JUDGES.items()}


@pytest.mark.parametrize("name", sorted(JUDGES))
@settings(deadline=None)
@given(data=st.data())
def test_nothing_comes_out_but_a_finding_or_a_sentence(name: str, data: st.DataObject) -> None:
    judge = JUDGES[name]
    try:
        finding = judge.finding(read_model(judge.model, data.draw(TYPED[name]), {}))
    except InputError as error:
        assert str(error).strip()
        return
    assert isinstance(finding, Finding)
    assert finding.says
    assert finding.working
    assert "nan" not in _numbers(finding)


def _numbers(finding: Finding) -> list[Any]:
    """The values, a NaN as the word."""
    return ["nan" if figure.value != figure.value else figure.value for figure in finding.values]


@pytest.mark.parametrize("name", sorted(JUDGES))
def test_the_shipped_judge_says_where_it_comes_from(name: str) -> None:
    assert len(JUDGES[name].source) > 5
