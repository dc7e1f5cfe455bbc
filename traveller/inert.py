"""Text from outside made harmless: what a terminal would obey becomes a sign that can be seen."""

from __future__ import annotations

import re

UNSAFE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
"""Control characters but line feed and tab (ISO/IEC 6429), the marks that turn the reading direction (Unicode
Standard Annex 9), and halves of surrogate pairs, which cannot be written as UTF-8."""


def inert(text: str) -> str:
    """The text with a visible sign in place of each unsafe character: ``␛`` for an escape, ``�`` for the others."""
    return UNSAFE.sub(_sign, text)


def _sign(found: re.Match[str]) -> str:
    code = ord(found[0])
    if code < 0x20:
        return chr(0x2400 + code)
    return "␡" if code == 0x7F else "�"
