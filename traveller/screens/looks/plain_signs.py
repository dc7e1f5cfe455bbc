"""The signs as every terminal has them, for a console or a serial terminal whose letters are few.

Each sign has a plain one of the same width, so nothing moves; the word beside it says the same.
"""

from __future__ import annotations

from collections.abc import Mapping

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

SIGNS = {
    "✓": "+",
    "✗": "x",
    "↻": "~",
    "⇡": "^",
    "·": ".",
    "•": "o",
    "–": "-",
    "−": "-",
    "◆": "*",
    "■": "#",
    "□": "-",
    "◧": "/",
    "▤": "=",
    "▸": ">",
    "▶": ">",
    "→": ">",
    "›": ">",
    "…": "~",
    "≤": "<",
    "≥": ">",
    "≈": "~",
    "“": '"',
    "”": '"',
}
BRAILLE = {chr(code): "." for code in range(0x2801, 0x2900)}
TABLE = str.maketrans({**SIGNS, **BRAILLE, "\u2800": " "})
FEW_LETTERS = ("linux", "vt", "ansi", "cons")
"""What the names of such terminals begin with in `TERM`."""


class PlainSigns(LineFilter):
    """Works on what is painted, so that no page has to know of it."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        del background
        return [one if one.text.isascii() else Segment(one.text.translate(TABLE), *one[1:]) for one in segments]


def has_no_colour(environment: Mapping[str, str]) -> bool:
    """Whether the terminal shows one colour only, by its name: VT52 to VT420, and whatever ends in ``-mono`` or ``-m``.

    What stands out by a ground of its own would not be seen there.
    """
    term = environment.get("TERM", "")
    return term.startswith("vt") or term.endswith(("-mono", "-m"))


def wanted(setting: str, environment: Mapping[str, str]) -> bool:
    """`setting` is ``plain``, ``full``, or empty: then the kind of terminal and its language settings decide."""
    if setting in ("plain", "full"):
        return setting == "plain"
    if environment.get("TERM", "").startswith(FEW_LETTERS):
        return True
    letters = environment.get("LC_ALL") or environment.get("LC_CTYPE") or environment.get("LANG") or "utf-8"
    return "utf" not in letters.casefold()
