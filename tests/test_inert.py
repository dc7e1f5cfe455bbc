"""Text from outside is shown, never obeyed: no escape sequence, no turned reading direction, no half characters."""

from __future__ import annotations

import unicodedata
from pathlib import Path
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.small_shop import opened
from traveller.errors import InputError, Refused
from traveller.inert import inert
from traveller.record.entries import Draft, Noted, made_inert

TURNING = ("RLE", "LRE", "RLO", "LRO", "PDF", "RLI", "LRI", "FSI", "PDI")
ANY = st.text(st.characters())
"""Every code point, halves of surrogate pairs too."""


@given(ANY)
def test_nothing_is_left_that_a_terminal_obeys(text: str) -> None:
    """General categories of the Unicode Standard: Cc control, Cs surrogate; and the marks of its Annex 9."""
    for character in inert(text):
        assert unicodedata.category(character) not in ("Cc", "Cs") or character in "\n\t"
        assert unicodedata.bidirectional(character) not in (
            "RLE",
            "LRE",
            "RLO",
            "LRO",
            "PDF",
            "RLI",
            "LRI",
            "FSI",
            "PDI",
        )
    inert(text).encode("utf-8")


@given(ANY)
def test_what_was_harmless_stays_as_it_was(text: str) -> None:
    kept = [one for one in text if unicodedata.category(one) not in ("Cc", "Cs", "Cf")]
    assert inert("".join(kept)) == "".join(kept)
    assert len(inert(text)) == len(text), "every character is still counted"
    assert inert(inert(text)) == inert(text)


@pytest.mark.parametrize(
    "name", ["Åse Ødegård", "Ελένη", "Мария", "יעל", "سارة", "新宿", "2 ½ µF ±5 %\nnext line\tcell"]
)
def test_names_in_any_script_stay(name: str) -> None:
    assert inert(name) == name


def test_an_escape_sequence_is_seen_and_not_obeyed() -> None:
    assert inert("oil \x1b[2J\x07 on it") == "oil ␛[2J␇ on it"


@given(ANY.filter(lambda text: text.strip()))
def test_every_text_of_an_entry_is_made_inert(text: str) -> None:
    draft = made_inert(Draft(id=uuid4(), body=Noted.model_construct(text=text), because=text))
    assert isinstance(draft.body, Noted)
    assert draft.because == inert(text)
    assert draft.body.text == inert(draft.body.text)


def test_a_message_repeats_what_was_typed_without_obeying_it() -> None:
    assert "\x1b" not in str(InputError("\x1b[31m is not a tag"))
    refused = Refused("one \x1b[31m", "two \x9b31m")
    assert refused.reasons == ("one ␛[31m", "two �31m")


def test_a_note_and_an_answer_come_onto_the_record_inert(database_url: str, tmp_path: Path) -> None:
    shop = opened(database_url, tmp_path)
    tag = shop.booked()
    view = shop.workshop.note(tag, shop.technician, "look \x1b]0;owned\x07 here \x00 there")
    body = view.unit.notes[-1].body
    assert isinstance(body, Noted)
    assert body.text == "look ␛]0;owned␇ here ␀ there"
    assert shop.workshop.verify() == []
    assert shop.workshop.unit(tag).unit.notes == view.unit.notes
    shop.workshop.close()
