"""The check character against published values and python-stdnum; reading against slips of the finger."""

from __future__ import annotations

import string
import subprocess
import sys

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_2, mod_37_36

from traveller.errors import InputError
from traveller.tags import (
    MistypedTag,
    Tag,
    TagKind,
    check_character,
    describe_difference,
    looks_like_tag,
    make_tag,
    next_tag,
    read_tag,
)

CAPITALS = string.digits + string.ascii_uppercase
SOME_TAGS = ["U000427T", "P000012C", "M999999A", "R0102036", "S1200346"]  # completed by python-stdnum


def corrected(body: str) -> str:
    """Body and check character by python-stdnum, the independent reference."""
    return body + mod_37_2.calc_check_digit(body)


@pytest.mark.parametrize(
    ("body", "check"),
    [
        # UK Blood Transfusion Guidelines, Annex 2: ISBT 128 check character calculation
        # https://www.transfusionguidelines.org/red-book/annex-2-isbt-128-check-character-calculation
        ("G123498654321", "H"),
        # python-stdnum, stdnum/iso7064/mod_37_2.py, doctest
        ("G123489654321", "Y"),
        # computed independently with python-stdnum
        ("R26A00001", "H"),
        ("R26A00042", "*"),
        ("UNIT0001", "N"),
        ("WK4017", "6"),
        # neighbouring swaps that ISO/IEC 7064 MOD 37,36 misses; computed with python-stdnum
        ("R26A78001", "Z"),
        ("R26A87001", "J"),
        ("WKWX001", "R"),
        ("WKXW001", "B"),
    ],
)
def test_published_check_characters(body: str, check: str) -> None:
    assert check_character(body) == check
    assert mod_37_2.is_valid(body + check)


def test_swapped_bodies_fail_each_others_check() -> None:
    assert check_character("G123498654321") != "Y"
    assert check_character("G123489654321") != "H"


@settings(max_examples=300)
@given(st.text(CAPITALS, min_size=1, max_size=30))
def test_check_character_agrees_with_python_stdnum(body: str) -> None:
    assert check_character(body) == mod_37_2.calc_check_digit(body)


@settings(max_examples=300)
@given(st.text(CAPITALS, min_size=2, max_size=20), st.data())
def test_one_slip_in_any_body_changes_its_check_character(body: str, data: st.DataObject) -> None:
    place = data.draw(st.integers(0, len(body) - 2))
    other = data.draw(st.sampled_from(CAPITALS))
    replaced = body[:place] + other + body[place + 1 :]
    swapped = body[:place] + body[place + 1] + body[place] + body[place + 2 :]
    for slip in {replaced, swapped} - {body}:
        assert check_character(slip) != check_character(body)


def test_why_not_the_hybrid_system() -> None:
    """MOD 37,36 (python-stdnum) gives both bodies the same character, so it would miss the swap."""
    for body, swapped in (("R26A78001", "R26A87001"), ("WKWX001", "WKXW001")):
        assert mod_37_36.calc_check_digit(body) == mod_37_36.calc_check_digit(swapped)
        assert check_character(body) != check_character(swapped)


@pytest.mark.parametrize("body", ["u000427", "U00*427", "U00 427", "Ü"])
def test_what_cannot_be_checked_is_named(body: str) -> None:
    with pytest.raises(InputError, match=r"Character \d .* use only 0-9 and A-Z"):
        check_character(body)


@given(st.sampled_from(TagKind), st.integers(0, 999_999))
def test_made_tags_hold_by_the_reference_and_read_back(kind: TagKind, number: int) -> None:
    tag = make_tag(kind, number)
    reference = corrected(f"{kind.letter}{number:06d}")
    if tag is None:
        assert reference[-1] in "IO*"
    else:
        assert tag == reference
        assert read_tag(tag) == Tag(kind, number, tag)


def test_three_in_thirtyseven_numbers_are_skipped() -> None:
    skipped = sum(make_tag(TagKind.UNIT, number) is None for number in range(37_000))
    assert skipped == pytest.approx(3_000, rel=0.02)


@pytest.mark.parametrize("number", [-1, 1_000_000])
def test_numbers_out_of_range_are_refused(number: int) -> None:
    with pytest.raises(InputError, match="between 0 and 999999"):
        make_tag(TagKind.UNIT, number)


@given(st.sampled_from(TagKind), st.integers(0, 999_900))
def test_next_tag_leaves_out_only_what_must_be_skipped(kind: TagKind, after: int) -> None:
    tag, number = next_tag(kind, after)
    assert number > after
    assert make_tag(kind, number) == tag
    assert all(make_tag(kind, between) is None for between in range(after + 1, number))


def test_numbers_end() -> None:
    with pytest.raises(InputError, match="All shelf numbers up to 999999 are used"):
        next_tag(TagKind.SHELF, 999_999)


@pytest.mark.parametrize(
    "typed",
    ["u000427t", " U000427T\r\n", "U000 427T", "U-000-427-T", "UOOO427T", "u0oo427t", "U000\u00a0427\u2011T"],
)
def test_loosely_written_tags_are_read(typed: str) -> None:
    assert read_tag(typed) == Tag(TagKind.UNIT, 427, "U000427T")


def test_letters_taken_for_digits() -> None:
    assert read_tag("pooooi2c").text == "P000012C"
    assert read_tag(read_tag("U000427T").grouped).text == "U000427T"


@pytest.mark.parametrize("tag", SOME_TAGS)
def test_every_single_substitution_is_caught(tag: str) -> None:
    assert looks_like_tag(tag)
    for place in range(8):
        for other in CAPITALS + "*":
            typed = tag[:place] + other + tag[place + 1 :]
            if other == tag[place] or (place > 0 and (other, tag[place]) in {("O", "0"), ("I", "1")}):
                assert read_tag(typed).text == tag
            else:
                with pytest.raises(MistypedTag) as caught:
                    read_tag(typed)
                assert tag in caught.value.candidates
                assert describe_difference(typed, tag) == f"character {place + 1} should be {tag[place]}"


@pytest.mark.parametrize("tag", SOME_TAGS)
def test_every_neighbouring_swap_is_caught(tag: str) -> None:
    for place in range(7):
        typed = tag[:place] + tag[place + 1] + tag[place] + tag[place + 2 :]
        if typed != tag:
            with pytest.raises(MistypedTag) as caught:
                read_tag(typed)
            assert tag in caught.value.candidates
            assert describe_difference(typed, tag) == f"characters {place + 1} and {place + 2} are swapped"


@settings(max_examples=200)
@given(st.sampled_from("UPMRS"), st.text(string.digits, min_size=6, max_size=6), st.sampled_from(CAPITALS))
def test_candidates_hold_by_the_reference(letter: str, digits: str, check: str) -> None:
    typed = letter + digits + check
    assume(check not in "IO" and not mod_37_2.is_valid(typed))
    with pytest.raises(MistypedTag, match=r"check character . does not fit") as caught:
        read_tag(typed)
    for candidate in caught.value.candidates:
        assert mod_37_2.is_valid(candidate)
        differing = [place for place in range(8) if typed[place] != candidate[place]]
        assert len(differing) == 1 or (len(differing) == 2 and differing[1] == differing[0] + 1)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("U000.27T", 'character 5 (".") never stands in a tag'),
        ("U00Z427T", "character 4 is the letter Z where a digit must stand"),
        ("U00427T", "it is 1 character too short"),
        ("U0000427TT", "it is 2 characters too long"),
        ("X000427T", "no tag begins with X (U unit, P person, M instrument, R rig, S shelf)"),
        ("U000427K", "its check character K does not fit"),
        ("  ", "there is nothing in it"),
        ("U000\x02427T", 'character 5 ("<U+0002>")'),
        ("Ｕ000427T", 'character 1 ("Ｕ") never stands in a tag'),
    ],
)
def test_the_sentence_says_what_is_wrong_and_what_to_do(typed: str, sentence: str) -> None:
    with pytest.raises(MistypedTag) as caught:
        read_tag(typed)
    assert sentence in str(caught.value)
    assert str(caught.value).endswith("then scan or type it again.")


@pytest.mark.parametrize(
    ("typed", "candidate", "words"),
    [
        ("u000472t", "U000427T", "characters 6 and 7 are swapped"),
        ("U000457T", "U000427T", "character 6 should be 2"),
        ("U000427T", "U000427T", "nothing differs"),
        ("U00427T", "U000427T", "1 character too short"),
        ("U123427T", "U000427T", "characters 2, 3 and 4 differ"),
    ],
)
def test_differences_in_words(typed: str, candidate: str, words: str) -> None:
    assert describe_difference(typed, candidate) == words


WITH_SOMETHING_IN_IT = st.tuples(st.sampled_from(SOME_TAGS), st.integers(0, 8), st.text("- \u00a0O", max_size=2)).map(
    lambda drawn: drawn[0][: drawn[1]] + drawn[2] + drawn[0][drawn[1] :]
)


@given(st.text(max_size=200) | WITH_SOMETHING_IN_IT)
def test_any_text_is_read_or_refused_in_a_sentence(text: str) -> None:
    try:
        tag = read_tag(text)
    except MistypedTag as refused:
        assert len(str(refused)) < 350
        assert "\n" not in str(refused)
    else:
        assert mod_37_2.is_valid(tag.text)


def test_the_door_loads_no_drawing_library() -> None:
    program = (
        "import sys, traveller.tags, traveller.tags.code, traveller.tags.label;"
        "print(sorted({'qrcode', 'PIL', 'textual', 'sqlalchemy'} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
