"""A block of a logger's file read at once, when every row of it is as it should be.

Whatever deviates in the least (a cell that is not a plain decimal number, a row of another length, a time that falls)
makes the block None, and its rows are then read one by one with care. What is read here is to the last bit what
``float`` and `read_time` make of the same cells.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, tzinfo
from itertools import pairwise
from typing import TYPE_CHECKING

from traveller.record.heat_runs.cells import cells_of
from traveller.record.heat_runs.columns import Columns, form_of, read_time
from traveller.record.heat_runs.digits import decimals, numbers
from traveller.record.rig_entries import TimeForm

if TYPE_CHECKING:
    from traveller.record.heat_runs.digits import Floats, Letters, Places, Wholes

TO_THE_MINUTE = len("2031-03-03T06:00:")
MICROSECONDS = 1_000_000


@dataclass(frozen=True)
class Rows:
    """`times` in seconds since 1970, none earlier than the one before; `columns` one for each channel."""

    times: Floats
    columns: list[Floats]


@dataclass(frozen=True)
class _Cells:
    """Where in `letters` each cell begins and ends, one column after the other."""

    letters: Letters
    starts: Places
    ends: Places

    def column(self, place: int | list[int]) -> _Cells:
        return _Cells(self.letters, self.starts[place], self.ends[place])

    def numbers(self) -> Floats | None:
        return numbers(self.letters, self.starts, self.ends)

    def text(self, line: int) -> str:
        return bytes(self.letters[self.starts[line] : self.ends[line]]).decode("ascii", errors="replace")


def form_in(block: bytes, columns: Columns) -> TimeForm:
    """How the times of a block are written, from its first row."""
    line = block.partition(b"\n")[0].partition(b"\r")[0]
    first = cells_of(line.decode("utf-8", errors="replace"))
    return form_of(first[columns.time] if columns.time < len(first) else "")


def sound_rows(block: bytes, columns: Columns, form: TimeForm, zone: tzinfo, start: datetime) -> Rows | None:
    """The rows of a block of whole lines; None when any of them deviates."""
    import numpy as np

    cells = _cells(block)
    wanted = [place for place, _ in columns.places.values()]
    if cells is None or max(columns.time, *wanted) >= len(cells.starts):
        return None
    times = _times(cells.column(columns.time), form, zone, start)
    if times is None or bool((np.diff(times) < 0).any()):
        return None
    values = cells.column(wanted).numbers()
    if values is None:
        return None
    factors = [factor for _, factor in columns.places.values()]
    return Rows(times, [column * factor for column, factor in zip(values, factors, strict=True)])


def _cells(block: bytes) -> _Cells | None:
    """None unless every line has as many cells as the first, and none is quoted."""
    import numpy as np

    plain = block.replace(b"\r\n", b"\n")
    separator = next((mark for mark in b";\t," if mark in plain), None)
    if separator is None or b'"' in plain or b"\r" in plain or not plain.endswith(b"\n"):
        return None
    letters = np.frombuffer(plain, np.uint8)
    marks = np.flatnonzero((letters == separator) | (letters == ord("\n")))
    count = plain.count(separator, 0, plain.index(b"\n")) + 1
    if len(marks) % count:
        return None
    ends = marks.reshape(-1, count)
    if not bool(((letters[ends] == ord("\n")) == (np.arange(count) == count - 1)).all()):
        return None
    starts = np.concatenate(([0], marks[:-1] + 1)).reshape(-1, count)
    return _Cells(letters, np.ascontiguousarray(starts.T), np.ascontiguousarray(ends.T))


# ---- times ----------------------------------------------------------------------------------------------


def _times(cells: _Cells, form: TimeForm, zone: tzinfo, start: datetime) -> Floats | None:
    if form == "iso":
        return _iso_times(cells, zone, start)
    found = None if form == "excel" else cells.numbers()
    if found is None or bool((abs(found) > 1e11).any()):
        return None
    return found + start.timestamp() if form == "seconds" else found


def _iso_times(cells: _Cells, zone: tzinfo, start: datetime) -> Floats | None:
    """Each minute is read with care, once; within it only the seconds are read. None when the first or the last row
    of a minute would be read otherwise with care: as times do not fall, a clock that is changed between them shows."""
    import numpy as np

    first = cells.text(0)
    tail = first[TO_THE_MINUTE:].lstrip("0123456789.,")
    ends = cells.ends - len(tail)
    if (ends - cells.starts).min() < TO_THE_MINUTE + 2 or first[10:11] not in ("T", " "):
        return None
    heads = cells.letters[cells.starts[:, None] + np.arange(TO_THE_MINUTE)]
    tails = cells.letters[ends[:, None] + np.arange(len(tail))]
    micros = _micros(_Cells(cells.letters, cells.starts + TO_THE_MINUTE, ends))
    if micros is None or bool((tails != tails[0]).any()) or bool((heads[:, [13, 16]] != ord(":")).any()):
        return None
    times = np.empty(len(micros))
    edges = [0, *(np.flatnonzero((heads[1:] != heads[:-1]).any(axis=1)) + 1).tolist(), len(micros)]
    for begin, end in pairwise(edges):
        minute = read_time(f"{cells.text(begin)[:TO_THE_MINUTE]}00{tail}", "iso", zone, start)
        if minute is None or minute != int(minute):
            return None
        times[begin:end] = (int(minute) * MICROSECONDS + micros[begin:end]) / MICROSECONDS
        if any(read_time(cells.text(at), "iso", zone, start) != times[at] for at in {begin, end - 1}):
            return None
    return times


def _micros(cells: _Cells) -> Wholes | None:
    """Microseconds of the minute from ``SS``, ``SS.f`` up to ``SS.ffffff``."""
    found = decimals(cells.letters, cells.starts, cells.ends)
    if found is None:
        return None
    lengths, behind = cells.ends - cells.starts, found.behind
    as_written = (lengths == 2) | (lengths == behind + 3) & (behind >= 1) & (behind <= 6)
    if not bool((as_written & ~found.negative).all()):
        return None
    micros: Wholes = found.wholes * 10 ** (6 - behind)
    return micros if bool((micros < 60 * MICROSECONDS).all()) else None
