"""A curve from a file: two columns of numbers, as a curve tracer or an oscilloscope exports them.

A judge stays pure, so the file becomes the text that a field for a curve reads ("x y; x y; ...").
"""

from __future__ import annotations

import csv
import hashlib
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from traveller.errors import InputError

if TYPE_CHECKING:
    from pydantic import BaseModel

LARGEST_BYTES = 5_000_000
MOST_POINTS = 20_000
_SCALED = re.compile(r"(?<![A-Za-zµμ])([numkMµμ][VA])(?![A-Za-z])")
_TYPED = re.compile(r"[-+−]?[.,]?\d[\d.,eEVAmkµunp+−-]*[\s,;][-+−\d.,;eEVAmkµunp\s]*")
_LETTER = re.compile(r"[^\W\d_]")


def with_curves_read(model: type[BaseModel], typed: Mapping[str, str]) -> dict[str, str]:
    """The typed fields, with the path in a field for a curve replaced by the points of that file.

    Points that were typed instead of a path stay as they are. Raises InputError, naming the field.
    """
    from traveller.record.forms import fields_of

    curves = {field.name: field for field in fields_of(model) if field.curve}
    read = dict(typed)
    for name in curves:
        if typed.get(name, "").strip() and not _is_points(typed[name]):
            try:
                read[name] = curve_text(_path(typed[name].strip()))
            except InputError as error:
                raise InputError(f"{curves[name].label}: {error}") from None
    return read


def curve_text(path: Path) -> str:
    """The points in `path` as "x y; x y; ...".

    Columns may be separated by comma, semicolon or tab; with the last two a comma is a decimal comma. Heading
    lines above the numbers and empty lines are passed over. A gap in a row, a NaN, a third column, a heading in
    milliamperes, more than 5 MB or 20,000 points are refused: InputError says which line and what to do.
    """
    return "; ".join(f"{x!r} {y!r}" for x, y in curve_file(path).points)


@dataclass(frozen=True)
class CurveFile:
    """The points of a file, its name, and the SHA-256 of its bytes."""

    name: str
    points: tuple[tuple[float, float], ...]
    sha256: str


def curve_file(path: Path) -> CurveFile:
    """The file at `path`; read and refused as `curve_text` says."""
    data = _bytes_of(path)
    points = tuple(_points(path, _text_of(path, data).splitlines()))
    if len(points) < 2:
        raise InputError(f"{path} holds {len(points)} points: a curve needs two columns of numbers, volts and amps.")
    return CurveFile(path.name, points, hashlib.sha256(data).hexdigest())


def named_curve(typed: str) -> CurveFile:
    """The file that was typed as a path."""
    return curve_file(_path(typed.strip()))


def _path(text: str) -> Path:
    try:
        return Path(text).expanduser()
    except RuntimeError:
        raise InputError(f"{text} names a home that is not here: type the whole path.") from None


def _is_points(text: str) -> bool:
    """Points that were typed: at least one blank, comma or semicolon between what looks like numbers, and no file."""
    return bool(_TYPED.fullmatch(text.strip())) and not _is_file(Path(text.strip()))


def _is_file(path: Path) -> bool:
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _bytes_of(path: Path) -> bytes:
    try:
        if not path.is_file():
            raise InputError(f"{path} is not a file: type the path of the file with the points.")
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except (OSError, ValueError, RuntimeError) as error:
        raise InputError(f"{path} cannot be read ({error}): copy it to this terminal and try again.") from None
    if len(data) > LARGEST_BYTES:
        raise InputError(f"{path} is larger than 5 MB: export fewer points, {MOST_POINTS} at most.")
    return data


def _text_of(path: Path, data: bytes) -> str:
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    if b"\0" in data:
        raise InputError(f"{path} is not a text file: export the curve as CSV.")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def _points(path: Path, lines: list[str]) -> Iterator[tuple[float, float]]:
    found = 0
    for number, line in enumerate(lines, 1):
        cells = _cells(path, number, line)
        if not any(cells):
            continue
        if not found and _is_heading(cells):
            if scaled := _SCALED.search(line):
                raise InputError(f"{path}, line {number}: a column is in {scaled[1]}: export it in volts and amperes.")
            continue
        found += 1
        if found > MOST_POINTS:
            raise InputError(f"{path} holds more than {MOST_POINTS} points: export fewer.")
        yield _pair(path, number, cells)


def _cells(path: Path, number: int, line: str) -> list[str]:
    separator = next((mark for mark in ";\t" if mark in line), ",")
    try:
        cells = next(csv.reader([line], delimiter=separator), [])
    except csv.Error as error:
        raise InputError(f"{path}, line {number}: this is not CSV ({error}). Export it anew.") from None
    cells = [cell.strip() for cell in cells]
    while len(cells) > 2 and not cells[-1]:
        cells.pop()
    return cells if separator == "," else [cell.replace(",", ".") for cell in cells]


def _is_heading(cells: list[str]) -> bool:
    return all(not cell or (_number(cell) is None and _LETTER.search(cell)) for cell in cells)


def _number(cell: str) -> float | None:
    try:
        return float(cell.replace("−", "-"))
    except ValueError:
        return None


def _pair(path: Path, number: int, cells: list[str]) -> tuple[float, float]:
    where = f"{path}, line {number}"
    if len(cells) != 2:
        raise InputError(
            f"{where}: {len(cells)} columns were read and two are wanted, volts and amps. Leave the others out; with "
            "decimal commas separate the columns by a semicolon."
        )
    if not all(cells):
        raise InputError(f"{where}: there is a gap. Mend that line or take it out.")
    x, y = (_number(cell) for cell in cells)
    if x is None or y is None or not (math.isfinite(x) and math.isfinite(y)):
        shown = " | ".join(cell if len(cell) <= 20 else f"{cell[:20]}…" for cell in cells)
        raise InputError(f"{where}: {shown!r} is not two numbers. Mend that line or take it out.")
    return x, y
