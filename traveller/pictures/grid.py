"""A thermal picture from a file: a table of temperatures, or a 16-bit picture with a scale and an offset.

What is kept is a 16-bit grey PNG of its own in steps of 0.02 K from 0 K, so that every later reader finds the
same temperatures, whatever the camera wrote.
"""

from __future__ import annotations

import csv
import io
import math
import re
import sys
from array import array
from collections.abc import Sequence
from typing import TYPE_CHECKING

from traveller.errors import InputError
from traveller.record.thermal import Grid

if TYPE_CHECKING:
    from PIL.Image import Image

STEP_K = 0.02
ZERO_C = 273.15
COLDEST_C, HOTTEST_C = -60.0, 1000.0
MOST_POINTS = 2_000_000
FEWEST = 4
PICTURE_BEGINNINGS = (b"\x89PNG\r\n\x1a\n", b"II*\x00", b"MM\x00*")
_ENCODINGS = ((b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"), (b"\xef\xbb\xbf", "utf-8-sig"))
_DECIMAL_COMMA = re.compile(r"\d,\d+\s*(;|\t|$)")


def read_grid(name: str, data: bytes, scale: float | None = None, offset: float | None = None) -> tuple[Grid, str]:
    """(grid, how it was read) of a file. With `scale` and `offset`: °C = number × scale + offset.

    InputError in words: what is wrong with the file, and what to do.
    """
    if not data:
        raise InputError(f"{name} is empty: export the picture from the camera again.")
    numbers = _of_picture(name, data) if data.startswith(PICTURE_BEGINNINGS) else _of_table(name, data)
    width, height, raw, needs_scale = numbers
    if needs_scale and scale is None:
        raise InputError(
            f"{name} holds counts, not temperatures: give scale and offset as the camera's export names them "
            "(°C = count × scale + offset; hundredths of a kelvin are scale 0.01, offset -273.15)."
        )
    factor, shift = (1.0 if scale is None else scale), (0.0 if offset is None else offset)
    if factor == 0 or not math.isfinite(factor) or not math.isfinite(shift):
        raise InputError("The scale is a number other than 0, and the offset a number.")
    grid = Grid(width, height, [one * factor + shift for one in raw])
    _need_believable(name, grid)
    plain = scale is None and offset is None
    return (
        grid,
        "°C as in the file" if plain else f"°C = number × {factor:g} {'+' if shift >= 0 else '−'} {abs(shift):g}",
    )


def _need_believable(name: str, grid: Grid) -> None:
    coldest, hottest = grid.bounds()
    if coldest < COLDEST_C or hottest > HOTTEST_C:
        raise InputError(
            f"{name} would reach from {coldest:.4g} to {hottest:.4g} °C: that is no temperature of a bench. "
            "Kelvin, Fahrenheit, hundredths or counts of the camera? Give scale and offset."
        )


def _need_size(name: str, width: int, height: int) -> None:
    if width < FEWEST or height < FEWEST or width * height > MOST_POINTS:
        raise InputError(
            f"{name} has {width} × {height} points: a thermal picture has at least {FEWEST} × {FEWEST} and at most "
            f"{MOST_POINTS:,} points."
        )


# ---- a 16-bit picture ---------------------------------------------------------------------------------------


def _of_picture(name: str, data: bytes) -> tuple[int, int, Sequence[float], bool]:
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(data)) as image:
            _need_size(name, *image.size)
            return *image.size, _points(name, image), image.mode != "F"
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise InputError(f"{name} cannot be read as a picture ({error}): export it again.") from None


def _points(name: str, image: Image) -> Sequence[float]:
    if image.mode not in ("I;16", "I;16L", "I;16B", "I", "F"):
        raise InputError(
            f"{name} is a picture in {image.mode} colours; the temperatures are no longer in it. Export the "
            "radiometric data: a table of temperatures (CSV) or a 16-bit TIFF or PNG."
        )
    kinds = {"I": "i", "F": "f"}
    points = array(kinds.get(image.mode, "H"), image.tobytes())
    if image.mode == "I;16B" and sys.byteorder == "little":
        points.byteswap()
    return points


# ---- a table of temperatures --------------------------------------------------------------------------------


def _of_table(name: str, data: bytes) -> tuple[int, int, Sequence[float], bool]:
    rows = list(_rows(name, _text(name, data)))
    if not rows:
        raise InputError(
            f"{name} holds no rows of at least {FEWEST} temperatures: export the temperatures as a table (CSV), or "
            "as a 16-bit TIFF or PNG."
        )
    _, first = rows[0]
    for line, row in rows:
        if len(row) != len(first):
            raise InputError(f"{name}, line {line}: {len(row)} values, the rows above have {len(first)}: export again.")
    _need_size(name, len(first), len(rows))
    return len(first), len(rows), [one for _, row in rows for one in row], False


def _text(name: str, data: bytes) -> str:
    encoding = next((kind for mark, kind in _ENCODINGS if data.startswith(mark)), "utf-8")
    for one in (encoding, "cp1252"):
        try:
            text = data.decode(one)
        except UnicodeDecodeError:
            continue
        if "\0" not in text:
            return text
    raise InputError(f"{name} is neither a table nor a TIFF or PNG picture: export it from the camera again.")


def _rows(name: str, text: str) -> list[tuple[int, list[float]]]:
    """(line number, temperatures) of each row. Lines above the first row of numbers are the camera's heading."""
    separator = ";" if ";" in text else "\t" if "\t" in text else ","
    comma = separator != "," and bool(_DECIMAL_COMMA.search(text))
    rows: list[tuple[int, list[float]]] = []
    for line, cells in enumerate(csv.reader(text.splitlines(), delimiter=separator), 1):
        while cells and not cells[-1].strip():
            cells.pop()
        if not cells:
            continue
        numbers = [_number(cell, comma) for cell in cells]
        if len(cells) >= FEWEST and None not in numbers:
            rows.append((line, [one for one in numbers if one is not None]))
        elif rows:
            wrong = next((cell for cell, one in zip(cells, numbers, strict=True) if one is None), cells[0])
            raise InputError(f'{name}, line {line}: "{wrong[:40]}" is not a temperature. Export the table again.')
        if len(rows) * len(cells) > MOST_POINTS:
            raise InputError(f"{name} has more than {MOST_POINTS:,} points: take a smaller part of it.")
    return rows


def _number(cell: str, comma: bool) -> float | None:
    text = cell.strip().replace("−", "-")
    if text.lower() in ("", "nan", "-"):
        return math.nan
    try:
        value = float(text.replace(",", ".") if comma else text)
    except ValueError:
        return None
    return value if math.isfinite(value) else math.nan


# ---- as it is kept ------------------------------------------------------------------------------------------


def packed(grid: Grid) -> bytes:
    """The grid as a 16-bit grey PNG: count × 0.02 K; 0 where there is no temperature."""
    from PIL import Image

    counts = array("H", (0 if math.isnan(one) else round((one + ZERO_C) / STEP_K) for one in grid.celsius))
    file = io.BytesIO()
    Image.frombytes("I;16", (grid.width, grid.height), counts.tobytes()).save(file, "PNG")
    return file.getvalue()


def unpacked(data: bytes) -> Grid:
    """The grid out of what `packed` made."""
    from PIL import Image

    with Image.open(io.BytesIO(data)) as image:
        counts = array("i" if image.mode == "I" else "H", image.tobytes())
        return Grid(*image.size, [one * STEP_K - ZERO_C if one else math.nan for one in counts])
