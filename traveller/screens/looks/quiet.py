"""What is said quietly is still read easily: dim words get a colour of their own between words and ground."""

from __future__ import annotations

from rich.segment import Segment
from textual.color import Color
from textual.filter import DimFilter

SHARE = 0.78
"""How much of the words' own colour is left; enough for the contrast that WCAG 2.2 asks for in all three looks."""


class Quiet(DimFilter):
    """Left to the terminal, "dim" may be half the contrast, or nothing at all."""

    def __init__(self) -> None:
        super().__init__(SHARE)

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """A word in the terminal's own colour has none that could be mixed: it stays dim."""
        mixed: list[Segment] = []
        for one in segments:
            has_colour = one.style and one.style.color and not one.style.color.is_default
            mixed += super().apply([one], background) if has_colour else [one]
        return mixed
