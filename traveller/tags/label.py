"""The label of a tag, drawn dot by dot for a label printer.

Left the QR code, right what a person reads: what it is, the tag, whose it is, and what can hurt. The picture
is black and white at the printer's own dots, so that nothing is scaled on the way and every module of the
code is a whole number of dots.
"""

from __future__ import annotations

import io
import unicodedata
from bisect import bisect_left
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil
from typing import TYPE_CHECKING, Literal

from traveller.errors import InputError
from traveller.tags.code import QUIET_ZONE, qr_matrix
from traveller.tags.identity import Tag

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont

MM_PER_INCH = 25.4
LARGEST_SIDE_MM = 300.0
SMALLEST_MODULE_DOTS = 3
"""Four dots or more are advised for a printed module; a label that only has room for three still reads."""

_BLACK, _WHITE = 0, 1
_WIDEST_CODE = 0.45  # of the label's width
_SMALLEST_LETTERS_MM = 1.3  # height of a capital
_CAPITAL_HEIGHT = 0.7  # of the size of the letters
_FULL_COLUMN = 4.1  # shares of height that fill the right column: heading, tag, owner and one hazard
_HAZARD_LINES = 3
_SPELT_OUT = {
    "ß": "ss",
    "ø": "o",
    "Ø": "O",
    "ł": "l",
    "Ł": "L",
    "æ": "ae",
    "Æ": "Ae",
    "œ": "oe",
    "Œ": "Oe",
    "đ": "d",
    "Đ": "D",
    "ð": "d",
    "Ð": "D",
    "þ": "th",
    "Þ": "Th",
    "ı": "i",
    "’": "'",
    "–": "-",
    "—": "-",
}


@dataclass(frozen=True)
class Label:
    """What stands on a label.

    ``heading`` is the kind of unit, the person's name or the class of instrument; ``owner`` the customer's
    short name (may be empty); ``hazards`` the words of the hazards that are open, without a sign.
    """

    tag: Tag
    heading: str
    owner: str = ""
    hazards: tuple[str, ...] = ()


@dataclass(frozen=True)
class _Box:
    """A part of the label, in dots; right and bottom lie just outside."""

    left: int
    top: int
    right: int
    bottom: int

    @property
    def width(self) -> int:
        return self.right - self.left

    @property
    def height(self) -> int:
        return self.bottom - self.top


@dataclass(frozen=True)
class _Line:
    """One line of the right column. ``share`` is its part of the column's height."""

    text: str
    share: float
    weight: float = 0.0  # extra stroke, as part of the letter size
    warns: bool = False
    may_be_cut: bool = True

    @property
    def pieces(self) -> tuple[str, ...]:
        """What is set at one go: words return from label to label, of a tag only its letters do."""
        return (self.text,) if self.may_be_cut else tuple(self.text)

    def length(self, size: float) -> float:
        """In dots, at this size of the letters."""
        return sum(_length(piece, size) for piece in self.pieces) + 2 * self.stroke(size)

    def stroke(self, size: float) -> int:
        """Dots that the letters grow on each side: at least one for anything that is not plain."""
        return ceil(size * self.weight / 2)


def draw_label(
    label: Label, dpi: Literal[203, 300, 600] = 300, width_mm: float = 50.0, height_mm: float = 25.0
) -> bytes:
    """The label as PNG, 1 bit per dot, with its resolution in the file.

    Text that is too long is set smaller, then cut with an ellipsis; the tag itself is never cut. Raises
    InputError when the label is too small for the code or the tag, or larger than 300 mm.
    """
    from PIL import Image, ImageDraw

    for side in (width_mm, height_mm):
        if not 0 < side <= LARGEST_SIDE_MM:
            raise InputError(f"A label cannot be {side:g} mm long; give a size between 10 and {LARGEST_SIDE_MM:g} mm.")
    width, height = dots(width_mm, dpi), dots(height_mm, dpi)
    code = code_picture(label.tag, width, height, f"{width_mm:g} x {height_mm:g} mm at {dpi} dots per inch", dpi)
    picture = Image.new("1", (width, height), _WHITE)
    picture.paste(code, (0, (height - code.height) // 2))

    margin = dots(1.5, dpi)
    column = _Box(code.width, margin, width - margin, height - margin)
    _draw_lines(ImageDraw.Draw(picture), _lines(label), column, dpi)
    return as_png(picture, dpi)


def dots(length_mm: float, dpi: int) -> int:
    """So many dots of the printer are a length."""
    return round(length_mm / MM_PER_INCH * dpi)


def code_picture(tag: Tag, width: int, height: int, size: str, dpi: int) -> Image:
    """The code with its quiet zone, as large as whole dots per module and the room for text allow."""
    from PIL import Image

    matrix = qr_matrix(tag)
    modules = len(matrix) + 2 * QUIET_ZONE
    per_module = min(height, int(width * _WIDEST_CODE)) // modules
    if per_module < SMALLEST_MODULE_DOTS:
        needed = modules * SMALLEST_MODULE_DOTS * MM_PER_INCH / dpi
        raise InputError(
            f"A label of {size} is too small for its code; take one at least "
            f"{needed / _WIDEST_CODE:.1f} mm wide and {needed:.1f} mm high, or a finer printer."
        )
    code = Image.new("1", (modules, modules), _WHITE)
    dark = Image.new("1", (len(matrix), len(matrix)))
    dark.putdata([_BLACK if module else _WHITE for line in matrix for module in line])
    code.paste(dark, (QUIET_ZONE, QUIET_ZONE))
    side = modules * per_module
    return code.resize((side, side), Image.Resampling.NEAREST)


def _lines(label: Label) -> list[_Line]:
    """The lines of the right column from top to bottom."""
    lines = [
        _Line(label.heading, 0.85),
        _Line(label.tag.grouped, 1.5, weight=0.05, may_be_cut=False),
        _Line(label.owner, 0.75),
        *(_Line(text, 1.0, weight=0.03, warns=True) for text in _hazard_texts(label.hazards)),
    ]
    return [replace(line, text=_in_plain_letters(line.text)) for line in lines if line.text]


def _hazard_texts(hazards: tuple[str, ...]) -> list[str]:
    """One line per hazard; when there are too many, the last line says how many more there are."""
    words = [hazard.upper() for hazard in hazards]
    if len(words) > _HAZARD_LINES:
        unnamed = len(words) - (_HAZARD_LINES - 1)
        words[_HAZARD_LINES - 1 :] = [f"+{unnamed} MORE HAZARDS"]
    return words


@lru_cache
def _in_plain_letters(text: str) -> str:
    """The text in the letters that Pillow's own font has: accents are left off, what has no letter is a ?."""
    spelt_out = "".join(_SPELT_OUT.get(character, character) for character in text)
    bare = (c for c in unicodedata.normalize("NFKD", spelt_out) if not unicodedata.combining(c))
    return " ".join("".join(c if c.isascii() and c.isprintable() else "?" for c in bare).split())


def _draw_lines(draw: ImageDraw, lines: list[_Line], column: _Box, dpi: int) -> None:
    """Stack the lines in the column, in the middle of its height when they do not fill it."""
    shares = sum(line.share for line in lines)
    unit = min(column.height / max(shares, _FULL_COLUMN), column.width / 4)
    y = column.top + (column.height - shares * unit) / 2
    warnings: list[tuple[_Line, _Box]] = []
    for line in lines:
        box = _Box(column.left, round(y), column.right, round(y + line.share * unit))
        if line.warns:
            warnings.append((line, _draw_warning_bar(draw, box, dpi)))
        else:
            _draw_text(draw, line, box, _fitting_size(line, box, dpi), _BLACK)
        y += line.share * unit
    size = min((_fitting_size(line, box, dpi) for line, box in warnings), default=0.0)
    for line, box in warnings:
        _draw_text(draw, line, box, size, _WHITE)


def _draw_warning_bar(draw: ImageDraw, box: _Box, dpi: int) -> _Box:
    """A black bar with a warning triangle at its left end; returns the room for the word in white."""
    gap = max(1, dots(0.25, dpi))
    bar = _Box(box.left, box.top + gap, box.right, box.bottom)
    draw.rectangle((bar.left, bar.top, bar.right - 1, bar.bottom - 1), fill=_BLACK)
    top, side, left = bar.top + gap, bar.height - 2 * gap, bar.left + 2 * gap
    middle, stroke = left + side // 2, max(1, round(side * 0.055))
    draw.polygon(((left, top + side - 1), (left + side, top + side - 1), (middle, top)), fill=_WHITE)
    for begins, ends in ((0.36, 0.68), (0.78, 0.88)):  # the stem and the point of the exclamation mark
        upper, lower = top + round(side * begins), top + round(side * ends)
        draw.rectangle((middle - stroke, upper, middle + stroke, lower), fill=_BLACK)
    return _Box(left + side + 2 * gap, bar.top, bar.right - 2 * gap, bar.bottom)


def _fitting_size(line: _Line, box: _Box, dpi: int) -> float:
    """The size, in dots, that fills the box or is as small as can still be read."""
    sizes = _sizes(box.height, dpi)
    fits = bisect_left(sizes[:-1], True, key=lambda size: line.length(size) <= box.width)
    return sizes[fits]


@lru_cache
def _sizes(height: int, dpi: int) -> list[float]:
    """From the size that fills the height down to the smallest that can still be read, 3 % at a time."""
    smallest = dots(_SMALLEST_LETTERS_MM, dpi) / _CAPITAL_HEIGHT
    sizes = [height / 1.1]
    while sizes[-1] > smallest:
        sizes.append(max(smallest, sizes[-1] * 0.97))
    return sizes


def _draw_text(draw: ImageDraw, line: _Line, box: _Box, size: float, ink: int) -> None:
    """Set the line at the left of the box, in the middle of its height; cut it when it is still too long."""
    if line.length(size) > box.width:
        if not line.may_be_cut:
            raise InputError("The label is too narrow for its tag; take a wider one.")
        line = _cut(line, size, box.width)
    stroke = line.stroke(size)
    x, base = float(box.left + stroke), round((box.top + box.bottom + size * _CAPITAL_HEIGHT) / 2)
    for piece in line.pieces:
        left, top, shape = _set(piece, size, stroke)
        draw.bitmap((round(x) + left, base + top), shape, ink)
        x += _length(piece, size)


def _cut(line: _Line, size: float, room: int) -> _Line:
    """The longest beginning of the line that fits with an ellipsis behind it."""
    for end in range(len(line.text) - 1, 0, -1):
        shortened = replace(line, text=line.text[:end].rstrip() + "…")
        if shortened.length(size) <= room:
            return shortened
    return replace(line, text="")


@lru_cache(4096)
def _length(piece: str, size: float) -> float:
    return _font(size).getlength(piece)


@lru_cache(1024)
def _set(piece: str, size: float, stroke: int) -> tuple[int, int, Image]:
    """The dots of a piece, and where they begin: from its left end, and from the line that the letters stand on."""
    from PIL import Image, ImageDraw

    left, top, right, bottom = map(round, _font(size).getbbox(piece, "1", stroke_width=stroke, anchor="ls"))
    shape = Image.new("1", (max(1, right - left), max(1, bottom - top)))
    ImageDraw.Draw(shape).text((-left, -top), piece, 1, _font(size), anchor="ls", stroke_width=stroke, stroke_fill=1)
    return left, top, shape


@lru_cache(512)
def _font(size: float) -> FreeTypeFont:
    """Pillow's own scalable letters, so that nothing need be installed. Unpacking them takes longer than measuring."""
    from PIL import ImageFont

    font = ImageFont.load_default(size)
    if not isinstance(font, ImageFont.FreeTypeFont):
        raise InputError("Labels need a Pillow with FreeType; install Pillow from its usual package.")
    return font


def as_png(picture: Image, dpi: int) -> bytes:
    """The label as PNG, with the printer's resolution in the file."""
    from zlib import Z_RLE

    file = io.BytesIO()
    picture.save(file, "PNG", dpi=(dpi, dpi), compress_level=1, compress_type=Z_RLE)
    return file.getvalue()
