"""A photo as characters: a look at it in a terminal that can show no pictures.

A character cell is about twice as high as it is wide. An upper half block with a colour of its own above and
one below makes two square points of it; without colour, five shades stand for the brightness of a whole cell.
"""

from __future__ import annotations

from io import BytesIO
from typing import NamedTuple

from PIL import Image, ImageOps

UPPER_HALF = "▀"
SHADES = " ░▒▓█"

Colour = tuple[int, int, int]


class Cell(NamedTuple):
    """One character; its colours are red, green, blue from 0 to 255, or None for the terminal's own."""

    char: str
    ink: Colour | None = None
    paper: Colour | None = None


Rows = list[list[Cell]]


def in_colour(data: bytes, columns: int, rows: int) -> Rows:
    """The kept photo in at most `columns` × `rows` cells of half blocks."""
    image = _fitted(data, columns, 2 * rows)
    image = image.resize((image.width, 2 * ((image.height + 1) // 2)))
    colours = image.convert("RGB").load()
    assert colours is not None
    return [
        [Cell(UPPER_HALF, _colour(colours[x, y]), _colour(colours[x, y + 1])) for x in range(image.width)]
        for y in range(0, image.height, 2)
    ]


def in_shades(data: bytes, columns: int, rows: int, light_ink: bool = True) -> Rows:
    """The same without colour; on a dark screen (`light_ink`) a full block is the brightest."""
    image = _fitted(data, columns, 2 * rows).convert("L")
    image = ImageOps.autocontrast(image.resize((image.width, max(1, (image.height + 1) // 2))))
    shades = SHADES if light_ink else SHADES[::-1]
    bright = image.load()
    assert bright is not None
    return [
        [Cell(shades[int(str(bright[x, y])) * len(shades) // 256]) for x in range(image.width)]
        for y in range(image.height)
    ]


def _fitted(data: bytes, width: int, height: int) -> Image.Image:
    image = Image.open(BytesIO(data), formats=("PNG", "JPEG", "TIFF"))
    image.draft("RGB", (4 * width, 4 * height))
    plain = image.convert("RGB")
    share = min(width / plain.width, height / plain.height)
    return plain.resize((max(1, round(plain.width * share)), max(1, round(plain.height * share))))


def _colour(found: object) -> Colour:
    assert isinstance(found, tuple)
    red, green, blue = found
    return red, green, blue
