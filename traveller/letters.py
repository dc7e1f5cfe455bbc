"""Which characters a font can print; what it cannot becomes □, and whoever makes the paper is told which it was."""

from __future__ import annotations

import unicodedata
from collections.abc import Callable

STANDS_IN = "□"
_RIGHT_TO_LEFT = frozenset({"R", "AL", "AN"})
_BLANKS = "\n\t"


def fitted(text: str, known: Callable[[str], bool]) -> tuple[str, tuple[str, ...]]:
    """(text as it can be printed, the characters that cannot); `known` says what the font has.

    Letters and their accents are drawn together first. What runs from right to left is not printed: it would
    stand in the wrong order. Invisible control characters are left out.
    """
    lacking: dict[str, None] = {}
    shown = []
    for one in unicodedata.normalize("NFC", text):
        is_mark = unicodedata.combining(one) != 0
        wrong_way = unicodedata.bidirectional(one) in _RIGHT_TO_LEFT
        if one in _BLANKS or (known(one) and not is_mark and not wrong_way):
            shown.append(one)
        elif unicodedata.category(one) not in ("Cc", "Cf"):
            lacking[one] = None
            shown.append("" if is_mark else STANDS_IN)
    return "".join(shown), tuple(lacking)


def in_words(character: str) -> str:
    """``U+4E2D CJK UNIFIED IDEOGRAPH-4E2D``."""
    return f"U+{ord(character):04X} {unicodedata.name(character, 'character without a name')}"
