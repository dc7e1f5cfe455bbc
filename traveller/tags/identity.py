"""What a tag says: its form, its check character, and what went wrong when somebody mistypes one.

A tag is one kind letter, six digits and one check character, for example ``U000427T``: eight characters,
upper case only, so that it fits the smallest QR code (version 1, alphanumeric) at the strongest error
correction. The check character is that of ISO/IEC 7064 MOD 37-2, which catches every single wrong character
and every swap of two neighbours.

The letters I and O are never used, because they are taken for 1 and 0. The standard's supplementary check
character ``*`` is never used either, because it needs the shift key on a scanner that plays a keyboard.
Numbers whose check character would be one of the three are skipped.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from traveller.errors import InputError

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*"
UNUSED_CHECKS = frozenset("IO*")
TAG_LENGTH = 8
HIGHEST_NUMBER = 999_999

_DATA_CHARACTERS = ALPHABET[:36]
_CHECK_CHARACTERS = "".join(character for character in ALPHABET if character not in UNUSED_CHECKS)
_BETWEEN_GROUPS = frozenset(" \t\u00a0\u2009\u202f-\u2010\u2011\u2012\u2013")
_TAKEN_FOR_DIGITS = {"O": "0", "I": "1"}
_LONGEST_SHOWN = 40


class TagKind(StrEnum):
    """What carries the tag. The value is the plain name, ``letter`` opens the tag."""

    UNIT = "unit"
    PERSON = "person"
    INSTRUMENT = "instrument"
    RIG = "rig"
    SHELF = "shelf"

    @property
    def letter(self) -> str:
        """The letter that tags of this kind begin with."""
        return _LETTER_OF[self]


_LETTER_OF = {
    TagKind.UNIT: "U",
    TagKind.PERSON: "P",
    TagKind.INSTRUMENT: "M",
    TagKind.RIG: "R",
    TagKind.SHELF: "S",
}
_KIND_OF = {letter: kind for kind, letter in _LETTER_OF.items()}
OPENING_LETTERS = frozenset(_KIND_OF)


@dataclass(frozen=True)
class Tag:
    """A tag that was read or made: its check character fits. ``text`` is its one written form."""

    kind: TagKind
    number: int
    text: str

    @property
    def grouped(self) -> str:
        """The tag in two groups of four for reading aloud; ``read_tag`` takes it back."""
        return f"{self.text[:4]} {self.text[4:]}"

    def __str__(self) -> str:
        return self.text


class MistypedTag(InputError):
    """A text that is no tag. ``candidates`` are the valid tags one slip of the finger away from it."""

    def __init__(self, sentence: str, typed: str, candidates: tuple[str, ...] = ()) -> None:
        super().__init__(sentence)
        self.typed = typed
        self.candidates = candidates


def check_character(body: str) -> str:
    """The check character of ``body`` by ISO/IEC 7064 MOD 37-2 (pure system, radix 2).

    ``body`` holds the characters 0-9 and A-Z; the result may also be ``*``. Raises InputError for others.
    """
    remainder = 0
    for position, character in enumerate(body, start=1):
        value = _DATA_CHARACTERS.find(character)
        if value < 0:
            raise InputError(f"Character {position} ({_shown(character)}) cannot be checked; use only 0-9 and A-Z.")
        remainder = (remainder + value) * 2 % 37
    return ALPHABET[(1 - remainder) % 37]


def make_tag(kind: TagKind, number: int) -> str | None:
    """The tag of this kind with this number, or None when the number is skipped for its check character."""
    if not 0 <= number <= HIGHEST_NUMBER:
        raise InputError(f"A tag number lies between 0 and {HIGHEST_NUMBER}, not {number}.")
    body = f"{kind.letter}{number:06d}"
    check = check_character(body)
    return None if check in UNUSED_CHECKS else body + check


def next_tag(kind: TagKind, after: int) -> tuple[str, int]:
    """The first usable tag whose number is greater than ``after``, and that number.

    Raises InputError when all numbers of the kind are used up.
    """
    for number in range(after + 1, HIGHEST_NUMBER + 1):
        tag = make_tag(kind, number)
        if tag is not None:
            return tag, number
    raise InputError(f"All {kind.value} numbers up to {HIGHEST_NUMBER} are used; no further tag can be made.")


def read_tag(text: str) -> Tag:
    """Read a typed or scanned tag.

    Lower case, blanks around and between, hyphens, and O for 0 or I for 1 behind the kind letter are taken as
    meant. Raises MistypedTag with a sentence that names the wrong character where that can be told.
    """
    written = _as_written(text)
    fault = _fault_of_form(written)
    if fault is None and check_character(written[:-1]) != written[-1]:
        fault = (
            f"its check character {written[-1]} does not fit the rest, so at least one character is wrong. "
            "Compare it with the label"
        )
    if fault is not None:
        raise MistypedTag(
            f"{_shown(text.strip())} is not a tag: {fault}, then scan or type it again.",
            typed=written,
            candidates=tuple(sorted(_one_slip_away(written))),
        )
    return Tag(_KIND_OF[written[0]], int(written[1:7]), written)


def looks_like_tag(text: str) -> bool:
    """Whether ``read_tag`` would take the text: form and check character fit."""
    try:
        read_tag(text)
    except MistypedTag:
        return False
    return True


def is_instrument(text: str) -> bool:
    """Whether the text is the tag of an instrument, typed or scanned."""
    return looks_like_tag(text) and read_tag(text).kind is TagKind.INSTRUMENT


def describe_difference(typed: str, candidate: str) -> str:
    """Say in a few words what makes ``typed`` differ from the tag ``candidate``; characters count from 1.

    Both may be written as loosely as ``read_tag`` allows.
    """
    typed, candidate = _as_written(typed), _as_written(candidate)
    if len(typed) != len(candidate):
        return _wrong_length(len(typed) - len(candidate))
    differing = [place for place in range(len(typed)) if typed[place] != candidate[place]]
    match differing:
        case []:
            return "nothing differs"
        case [place]:
            return f"character {place + 1} should be {candidate[place]}"
        case [first, second] if typed[first : second + 1] == candidate[first : second + 1][::-1]:
            return f"characters {first + 1} and {second + 1} are swapped"
        case [*others, last]:
            listed = ", ".join(str(place + 1) for place in others)
            return f"characters {listed} and {last + 1} differ"
    raise AssertionError(differing)


def _as_written(text: str) -> str:
    """The text in the one written form of tags, as far as that can be done without guessing."""
    closed_up = "".join(character for character in text.strip() if character not in _BETWEEN_GROUPS)
    raised = "".join(character.upper() if character.isascii() else character for character in closed_up)
    return raised[:1] + "".join(_TAKEN_FOR_DIGITS.get(character, character) for character in raised[1:])


def _fault_of_form(written: str) -> str | None:
    """What is wrong with the form, as a part of a sentence that also says what to do; None when it fits."""
    if not written:
        return "there is nothing in it. Look for the label"
    for place, character in enumerate(written):
        if character not in _DATA_CHARACTERS:
            named = _shown(character)
            return f"character {place + 1} ({named}) never stands in a tag. Compare it with the label"
    if len(written) != TAG_LENGTH:
        surplus = len(written) - TAG_LENGTH
        return f"it is {_wrong_length(surplus)}. A tag has {TAG_LENGTH}; compare it with the label"
    if written[0] not in _KIND_OF:
        known = ", ".join(f"{letter} {kind.value}" for letter, kind in _KIND_OF.items())
        return f"no tag begins with {written[0]} ({known}). Compare character 1 with the label"
    for place in range(1, TAG_LENGTH - 1):
        if not written[place].isdigit():
            return (
                f"character {place + 1} is the letter {written[place]} where a digit must stand. "
                "Compare it with the label"
            )
    return None


def _one_slip_away(written: str) -> set[str]:
    """All valid tags that one wrong character, or one swap of neighbours, turns into ``written``."""
    if len(written) != TAG_LENGTH:
        return set()
    return {guess for guess in (*_substitutions(written), *_swaps(written)) if _is_valid(guess)} - {written}


def _substitutions(written: str) -> Iterator[str]:
    places = ("".join(_KIND_OF), *["0123456789"] * 6, _CHECK_CHARACTERS)
    for place, allowed in enumerate(places):
        for character in allowed:
            yield written[:place] + character + written[place + 1 :]


def _swaps(written: str) -> Iterator[str]:
    for place in range(len(written) - 1):
        yield written[:place] + written[place + 1] + written[place] + written[place + 2 :]


def _is_valid(written: str) -> bool:
    return _fault_of_form(written) is None and check_character(written[:-1]) == written[-1]


def _wrong_length(surplus: int) -> str:
    count = abs(surplus)
    plural = "" if count == 1 else "s"
    return f"{count} character{plural} too {'long' if surplus > 0 else 'short'}"


def _shown(text: str) -> str:
    """The text in quotation marks, shortened, with what cannot be printed named by its code point."""
    shortened = text if len(text) <= _LONGEST_SHOWN else text[: _LONGEST_SHOWN - 1] + "…"
    named = (character if character.isprintable() else f"<U+{ord(character):04X}>" for character in shortened)
    return f'"{"".join(named)}"'
