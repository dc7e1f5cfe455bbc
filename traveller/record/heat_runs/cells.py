"""A line of a logger's file as its cells."""

from __future__ import annotations

import csv

from traveller.errors import InputError
from traveller.record.heat_runs.columns import number


def cells_of(line: str) -> list[str]:
    """The cells of a line; with semicolon or tab between them a comma is a decimal comma."""
    separator = next((mark for mark in ";\t" if mark in line), ",")
    if '"' not in line:
        cells = [cell.strip() for cell in line.split(separator)]
        return cells if separator == "," else [_point(cell) for cell in cells]
    try:
        cells = [cell.strip() for cell in next(csv.reader([line], delimiter=separator), [])]
    except csv.Error as error:
        raise InputError(f"This line is not CSV ({error}): export the file anew.") from None
    return cells if separator == "," else [_point(cell) for cell in cells]


def _point(cell: str) -> str:
    changed = cell.replace(",", ".")
    return changed if number(changed) is not None else cell
