"""Places on a board: lists and ranges are written out, what may mean two things is asked back."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from traveller.errors import InputError
from traveller.record.acts.work import references_in
from traveller.record.places import expanded

places = st.from_regex(r"[A-Z]{1,3}[0-9]{1,4}", fullmatch=True)
marks = st.sampled_from([",", ";", " ", ", ", " ; "])


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("q3", ("Q3",)),
        ("C17, C18;C20 K3", ("C17", "C18", "C20", "K3")),
        ("C1-C4", ("C1", "C2", "C3", "C4")),
        ("C9 – C11", ("C9", "C10", "C11")),
        ("R1..R2", ("R1", "R2")),
        ("C5-C5", ("C5",)),
        ("A1-C1", ("A1-C1",)),
        ("X_1.2", ("X_1.2",)),
    ],
)
def test_what_is_meant(text: str, meant: tuple[str, ...]) -> None:
    assert expanded(text) == meant
    assert references_in(text) == list(meant)


@pytest.mark.parametrize("text", ["", " , ", "7", "C1-4", "C4-C1", "C1-C9000", "=1+1", "Q3/Q4", "ÄÖ1"])
def test_what_is_no_place_is_said(text: str) -> None:
    with pytest.raises(InputError, match=r"place|counts backwards"):
        expanded(text)


@given(st.lists(st.tuples(places, marks), min_size=1, max_size=8))
def test_a_list_in_any_writing_is_the_list(written: list[tuple[str, str]]) -> None:
    assert list(expanded("".join(place + mark for place, mark in written))) == [place for place, _ in written]


@given(st.from_regex(r"[A-Z]{1,6}", fullmatch=True), st.integers(0, 9000), st.integers(0, 300))
def test_a_range_is_every_place_once(letters: str, first: int, more: int) -> None:
    found = expanded(f"{letters.lower()}{first}-{letters}{first + more}")
    assert found == tuple(f"{letters}{number}" for number in range(first, first + more + 1))


@given(st.text(max_size=60))
def test_any_words_are_places_or_refused(text: str) -> None:
    try:
        assert all(expanded(text))
    except InputError as error:
        assert len(str(error).split()) > 3
