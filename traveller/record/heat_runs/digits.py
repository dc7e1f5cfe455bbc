"""Many plain decimal numbers read at once from the letters of a file.

What comes out is to the last bit what ``float`` makes of the same letters: a decimal of at most `MOST_DIGITS` digits is
a whole number divided by a power of ten, both exact in float64, so that the division rounds once and correctly
(IEEE 754-2019, 5.4.1).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Letters = NDArray[np.uint8]
    Places = NDArray[np.intp]
    Wholes = NDArray[np.int64]
    Words = NDArray[np.uint64]
    Floats = NDArray[np.float64]

MOST_DIGITS = 15
LETTERS_OF_A_WORD = 8
AT_ONCE = 8192
"""Numbers that are worked on at once; what is worked out of three times as many takes three times as long for each,
because it no longer fits beside the processor (measured)."""
POINT, COMMA = (ord(sign) ^ ord("0") for sign in ".,")
"""As they stand where digits were made of letters; digits are 0 to 9 then, and all else is above."""


@dataclass(frozen=True)
class Decimals:
    """Each number's digits as a whole number, how many of them stand behind the point, and whether a minus stands
    before them."""

    wholes: Wholes
    behind: NDArray[np.int64]
    negative: NDArray[np.bool_]

    def values(self) -> Floats:
        import numpy as np

        powers = np.array([float(10**power) for power in range(MOST_DIGITS + 1)])
        values: Floats = self.wholes / powers[self.behind]
        values[self.negative] *= -1
        return values


def numbers(letters: Letters, starts: Places, ends: Places) -> Floats | None:
    """The values of `decimals`, of however many."""
    import numpy as np

    values: Floats = np.empty(starts.shape)
    all_values, all_starts, all_ends = values.reshape(-1), starts.reshape(-1), ends.reshape(-1)
    for at in range(0, starts.size, AT_ONCE):
        part = slice(at, at + AT_ONCE)
        found = decimals(letters, all_starts[part], all_ends[part])
        if found is None:
            return None
        all_values[part] = found.values()
    return values


def decimals(letters: Letters, starts: Places, ends: Places) -> Decimals | None:
    """The numbers that stand from `starts` to before `ends`; None unless each is digits with at most one point (or
    comma), at least one digit and no more than `MOST_DIGITS`, and at most a minus before them."""
    import numpy as np

    if not starts.size or int((ends - starts).min()) < 1:
        return None
    negative = letters[starts] == ord("-")
    lengths = ends - starts - negative
    shortest, longest = int(lengths.min()), int(lengths.max())
    if shortest < 1 or longest > MOST_DIGITS + 1:
        return None
    found = _in_words(letters, ends, lengths) if longest <= LETTERS_OF_A_WORD else _by_letter(letters, ends, lengths)
    if found is None:
        return None
    wholes, behind = found
    return Decimals(wholes.view(np.int64), behind.view(np.int64), negative)


def _by_letter(letters: Letters, ends: Places, lengths: Places) -> tuple[Wholes, Wholes] | None:
    import numpy as np

    digits_of = np.concatenate((letters ^ np.uint8(ord("0")), np.zeros(MOST_DIGITS + 1, np.uint8)))
    starts = ends - lengths
    wholes, known, behind, points = (np.zeros(lengths.shape, np.int64) for _ in range(4))
    for place in range(int(lengths.max())):
        digits = digits_of[starts + place]
        inside = lengths > place
        is_digit = inside & (digits <= 9)
        wholes = np.where(is_digit, wholes * 10 + digits, wholes)
        known += is_digit
        behind += is_digit & (points == 1)
        points += inside & ((digits == POINT) | (digits == COMMA))
    sound = (known + points == lengths) & (points <= 1) & (known >= 1) & (known <= MOST_DIGITS)
    return (wholes, behind) if bool(sound.all()) else None


def _in_words(letters: Letters, ends: Places, lengths: Places) -> tuple[Words, Words] | None:
    """The same for at most eight letters each, which are one word of 64 bits: the last letter in its highest byte.
    All bytes of a word are looked at in one step (the arithmetic is that of Lemire, "Quickly parsing eight digits",
    2018; from memory)."""
    import numpy as np

    padded = np.concatenate((np.zeros(LETTERS_OF_A_WORD, np.uint8), letters))
    words: Words = np.ndarray((len(letters) + 1,), "<u8", padded, strides=(1,))[ends]
    unused = ((LETTERS_OF_A_WORD - lengths) * 8).astype(np.uint64)
    words = ((words ^ _every(ord("0"))) >> unused) << unused
    marks = _zero_bytes((words | _every(COMMA ^ POINT)) ^ _every(COMMA | POINT))
    one = marks >> np.uint64(7)
    before, behind = one - np.uint64(1), ~((one << np.uint64(8)) - np.uint64(1))
    pointed = marks != 0
    words = np.where(pointed, ((words & before) << np.uint64(8)) | (words & behind), words)
    not_digits = ((words + _every(0x80 - 10)) | words) & _every(0x80)
    if bool((not_digits | (marks & before)).any()) or bool((lengths == pointed).any()):
        return None
    return _eight_digits(words), np.bitwise_count(behind) // np.uint64(8)


def _every(byte: int) -> np.uint64:
    """A word with this in each of its bytes."""
    import numpy as np

    return np.uint64(byte * 0x0101010101010101)


def _zero_bytes(words: Words) -> Words:
    """0x80 in every byte that is zero, nothing in the others."""
    low = _every(0x7F)
    marked: Words = ~(((words & low) + low) | words | low)
    return marked


def _eight_digits(words: Words) -> Words:
    """Eight digits, the first in the lowest byte, as a number: by twos, then by fours, then all."""
    import numpy as np

    every_fourth = np.uint64(0x000000FF000000FF)
    pairs = words * np.uint64(10) + (words >> np.uint64(8))
    upper = (pairs & every_fourth) * np.uint64(100 + (1_000_000 << 32))
    lower = ((pairs >> np.uint64(16)) & every_fourth) * np.uint64(1 + (10_000 << 32))
    number: Words = (upper + lower) >> np.uint64(32)
    return number
