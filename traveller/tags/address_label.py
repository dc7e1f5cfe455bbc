"""The label on the outside of a package: to whom, from whom, with whom, and the tag of what is inside.

Drawn dot by dot as the tag's own label is. Letters are those of the papers, so that names print alike on both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from traveller.errors import InputError
from traveller.letters import fitted, in_words
from traveller.shipped import shipped_folder
from traveller.tags.identity import Tag
from traveller.tags.label import as_png, code_picture, dots

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw
    from PIL.ImageFont import FreeTypeFont

LARGEST_MM, SMALLEST_MM = 8.0, 2.4
"""Height of the addressee's letters: as large as the longest line lets them be."""
SMALL_MM = 2.6
TWO_PEOPLE_KG = 25.0
_BLACK, _WHITE = 0, 1
_LEADING = 1.25
_NEVER = "\U0010ffff"  # a character that no font has


@dataclass(frozen=True)
class AddressLabel:
    """`number` of `packages`; `weight_kg` of this package."""

    tag: Tag
    sender: str
    addressee: Sequence[str]
    carrier: str
    consignment: str
    number: int
    packages: int
    weight_kg: float
    remarks: Sequence[str] = ()


def draw_address_label(
    label: AddressLabel, dpi: Literal[203, 300, 600] = 203, width_mm: float = 100.0, height_mm: float = 150.0
) -> tuple[bytes, tuple[str, ...]]:
    """(PNG of 1 bit per dot, each character that could not be printed, in words).

    InputError when the label is too small for its lines.
    """
    from PIL import Image, ImageDraw

    width, height = dots(width_mm, dpi), dots(height_mm, dpi)
    picture = Image.new("1", (width, height), _WHITE)
    pen = _Pen(ImageDraw.Draw(picture), dpi, width)
    pen.line(f"{label.sender}", SMALL_MM)
    pen.rule()
    pen.block(label.addressee, dots(height_mm, dpi) * 0.52)
    pen.rule()
    pen.line(f"{label.carrier}  {label.consignment}", SMALL_MM * 1.3, bold=True)
    pen.line(f"{label.number} / {label.packages}    {label.weight_kg:g} kg", SMALL_MM * 1.6, bold=True)
    heavy = ["! > 25 kg: 2 x lift"] if label.weight_kg > TWO_PEOPLE_KG else []
    for remark in (*heavy, *label.remarks):
        pen.line(remark, SMALL_MM, bold=True)
    code = code_picture(label.tag, width, height - pen.y, f"{width_mm:g} x {height_mm:g} mm at {dpi} dots", dpi)
    picture.paste(code, (0, height - code.height))
    pen.beside(code.width, height - code.height // 2, label.tag.grouped)
    return as_png(picture, dpi), tuple(map(in_words, pen.lacking))


class _Pen:
    """Writes from the top of the label downwards."""

    def __init__(self, draw: ImageDraw, dpi: int, width: int) -> None:
        self._draw, self._dpi, self._width = draw, dpi, width
        self._margin = self.y = dots(4, dpi)
        self.lacking: dict[str, None] = {}

    def line(self, text: str, height_mm: float, bold: bool = False) -> None:
        """One line, set smaller if it is too long for the label."""
        font = self._fitting([text], height_mm, bold)
        self._write(self._margin, self.y, text, font)
        self.y += round(font.size * _LEADING)

    def block(self, lines: Sequence[str], room: float) -> None:
        """Lines of one size, as large as their width and `room` allow."""
        tallest = room / len(lines) / _LEADING / self._dpi * 25.4
        font = self._fitting(lines, min(LARGEST_MM, tallest), bold=True)
        for one in lines:
            self._write(self._margin, self.y, one, font)
            self.y += round(font.size * _LEADING)

    def rule(self) -> None:
        self.y += self._margin // 3
        self._draw.rectangle((self._margin, self.y, self._width - self._margin, self.y + self._dpi // 100), fill=_BLACK)
        self.y += self._margin // 2

    def beside(self, x: int, middle: int, text: str) -> None:
        font = _font(dots(SMALL_MM * 1.8, self._dpi), True)
        self._write(x, middle - font.size // 2, text, font)

    def _fitting(self, lines: Sequence[str], height_mm: float, bold: bool) -> FreeTypeFont:
        room = self._width - 2 * self._margin
        size, smallest = dots(height_mm, self._dpi), dots(min(SMALLEST_MM, height_mm), self._dpi)
        while size > smallest and any(_font(size, bold).getlength(self._shown(one, bold)) > room for one in lines):
            size -= 1
        font = _font(size, bold)
        if too_long := next((one for one in lines if font.getlength(self._shown(one, bold)) > room), ""):
            raise InputError(f'"{too_long}" is too long for the label: break it into two lines or take a wider one.')
        return font

    def _shown(self, text: str, bold: bool) -> str:
        shown, lacking = fitted(text, lambda one: _has(one, bold))
        self.lacking |= dict.fromkeys(lacking)
        return shown

    def _write(self, x: int, y: float, text: str, font: FreeTypeFont) -> None:
        self._draw.text((x, y), self._shown(text, True), _BLACK, font)


def _font(size: float, bold: bool) -> FreeTypeFont:
    from PIL import ImageFont

    file = "DejaVuSansCondensed-Bold.ttf" if bold else "DejaVuSansCondensed.ttf"
    return ImageFont.truetype(str(shipped_folder("fonts") / file), max(1, round(size)))


def _has(character: str, bold: bool) -> bool:
    """Whether the font draws the character: what it lacks, it draws as it draws a character that no font has."""
    font = _font(24, bold)
    return character.isspace() or bytes(font.getmask(character)) != bytes(font.getmask(_NEVER))
