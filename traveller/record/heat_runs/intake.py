"""Rows of a logger, one after the other, cut into batches; what is wrong with a row is found and said here."""

from __future__ import annotations

import io
import math
from array import array
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime, tzinfo
from typing import TYPE_CHECKING

from traveller.record.heat_runs.blocks import Rows, form_in, sound_rows
from traveller.record.heat_runs.cells import cells_of
from traveller.record.heat_runs.columns import Columns, form_of, number, read_time
from traveller.record.heat_runs.plan import Plan
from traveller.record.heat_runs.times import span_words
from traveller.record.rig_entries import TimeForm
from traveller.record.run_entries import FaultKind, InputFault

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SET_BACK_SECONDS, AHEAD_SECONDS = 30, 120
"""A row that is so much earlier than the one before, or than this terminal later, is one of a clock that was changed
(common practice)."""
SUMMER_HOUR, SUMMER_SLACK = 3600.0, 5.0
FEWEST_LINES = 64
"""A block with no more lines than that and with one that deviates is read line by line."""


def floats(values: Iterable[float] = ()) -> array[float]:
    return array("d", values)


@dataclass
class Batch:
    """Samples in order of time: `times` in seconds since 1970, one column for each channel, NaN where there was
    no number; and what was wrong."""

    names: tuple[str, ...]
    times: array[float] = field(default_factory=floats)
    columns: list[array[float]] = field(default_factory=list)
    faults: list[InputFault] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.columns = self.columns or [floats() for _ in self.names]

    def row(self, place: int) -> dict[str, float]:
        return {name: column[place] for name, column in zip(self.names, self.columns, strict=True)}

    def in_band(self, plan: Plan) -> NDArray[np.bool_]:
        """For every sample whether all load channels are in the band."""
        import numpy as np

        inside = np.ones(len(self.times), np.bool_)
        for channel in plan.load_channels:
            low, high = plan.band_of(channel)
            column = np.array(self.columns[self.names.index(channel.name)])
            inside &= (low <= column) & (column <= high)
        return inside


class Intake:
    """Takes lines, gives batches of `seconds` each. Rows not newer than `last` were kept before: left out, counted."""

    def __init__(
        self,
        columns: Columns,
        zone: tzinfo,
        start: datetime,
        last: float | None = None,
        seconds: float = 60.0,
    ) -> None:
        self._columns, self._zone, self._start = columns, zone, start
        self._form: TimeForm | None = columns.form
        self._last, self._seconds = last, seconds
        self._names = tuple(columns.places)
        self._places = tuple(columns.places.values())
        self._open = Batch(self._names)
        self._full: list[Batch] = []
        self._before: float | None = None
        self.kept_before = 0
        self.rows = 0

    @property
    def open(self) -> Batch:
        """What came since the last full batch."""
        return self._open

    def resume(self, batch: Batch) -> None:
        """Go on with a batch that was open when its follower ended."""
        if batch.times and batch.names == self._names:
            self._open = batch
            self._last = batch.times[-1]

    def take(self, line: str, now: datetime | None = None) -> None:
        """One line of the file; `now` is given when it is being written at this moment."""
        cells = cells_of(line) if line.strip() else []
        if not any(cells):
            return
        self.rows += 1
        at = self._time(cells)
        if at is None or not self._follows(at, now):
            return
        if self._open.times and at - self._open.times[0] >= self._seconds and at > self._open.times[-1]:
            self.cut()
        self._before = at
        self._open.times.append(at)
        for name, (place, factor), column in zip(self._names, self._places, self._open.columns, strict=True):
            column.append(self._value(name, cells[place] if place < len(cells) else "", factor, at))

    def take_block(self, block: bytes) -> None:
        """Whole lines of a file that is there already: at once where every row is as it should be."""
        rows = sound_rows(block, self._columns, self._form or form_in(block, self._columns), self._zone, self._start)
        if rows is not None and (fresh := self._all_follow(rows)) is not None:
            self._form = self._form or form_in(block, self._columns)
            self.rows += len(rows.times)
            self.kept_before += len(rows.times) - len(fresh.times)
            self._append(fresh)
            return
        middle = block.find(b"\n", len(block) // 2) + 1
        if block.count(b"\n") <= FEWEST_LINES or middle in (0, len(block)):
            for line in lines_of(block):
                self.take(line)
        else:
            self.take_block(block[:middle])
            self.take_block(block[middle:])

    def _all_follow(self, rows: Rows) -> Rows | None:
        """The rows without those that were kept before; None when something has to be said about one of them."""
        import numpy as np

        known = 0
        if self._before is None and self._last is not None:
            known = int(np.searchsorted(rows.times, self._last, side="right"))
        fresh = Rows(rows.times[known:], [column[known:] for column in rows.columns])
        before = [] if self._before is None else [self._before]
        steps = np.diff(np.concatenate((before, fresh.times)))
        odd = (steps < 0) | (abs(steps - SUMMER_HOUR) <= SUMMER_SLACK)
        return None if bool(odd.any()) else fresh

    def _append(self, rows: Rows) -> None:
        place, end = 0, len(rows.times)
        while place < end:
            until = self._has_room(rows.times[place:]) + place
            self._open.times.frombytes(rows.times[place:until].tobytes())
            for mine, column in zip(self._open.columns, rows.columns, strict=True):
                mine.frombytes(column[place:until].tobytes())
            if until < end:
                self.cut()
            place = until
        if end:
            self._before = float(rows.times[-1])

    def _has_room(self, times: NDArray[np.float64]) -> int:
        """How many of these samples still belong to the open batch, by the rule of `take`."""
        import numpy as np

        begun, newest = (self._open.times[0], self._open.times[-1]) if self._open.times else (times[0], times[0])
        newer = times > np.concatenate(([newest], times[:-1]))
        beyond = np.flatnonzero((times - begun >= self._seconds) & newer)
        return int(beyond[0]) if len(beyond) else len(times)

    def again(self) -> None:
        """The file begins anew: what is not newer than the last row was taken before."""
        self._last, self._before = self._before or self._last, None

    def cut(self) -> None:
        """What is open becomes a full batch."""
        if self._open.times:
            self._full.append(self._open)
            self._open = Batch(self._names)

    def full(self) -> list[Batch]:
        """The batches that have become full since this was last asked."""
        done, self._full = self._full, []
        return done

    def say(self, fault: FaultKind, says: str, at: float, channel: str = "") -> None:
        """Put down what is wrong, each kind once a batch for a channel."""
        found = InputFault(fault=fault, says=says, at=datetime.fromtimestamp(at, UTC), channel=channel)
        if found.key not in {one.key for one in self._open.faults}:
            self._open.faults.append(found)

    def _time(self, cells: Sequence[str]) -> float | None:
        text = cells[self._columns.time] if self._columns.time < len(cells) else ""
        self._form = self._form or form_of(text)
        at = read_time(text, self._form, self._zone, self._start)
        if at is None:
            known = self._before or self._start.timestamp()
            self.say("not a number", f'row {self.rows}: "{text[:40]}" is not a time; the row was left out', known)
        return at

    def _follows(self, at: float, now: datetime | None) -> bool:
        """Whether the row comes after what there is; a clock that was changed is said."""
        if now is not None and at - now.timestamp() > AHEAD_SECONDS:
            ahead = span_words((at - now.timestamp()) / 60)
            self.say("clock changed", f"the clock of the logger is {ahead} ahead of this terminal", now.timestamp())
        if self._before is None:
            if self._last is not None and at <= self._last:
                self.kept_before += 1
                return False
            return True
        if at < self._before:
            back = span_words((self._before - at) / 60)
            if self._before - at >= SET_BACK_SECONDS:
                says = f"row {self.rows}: the clock was set back by {back}; rows are left out until it has caught up"
                self.say("clock changed", says, self._before)
            else:
                says = f"row {self.rows} is {back} earlier than the one before; it was left out"
                self.say("time runs backwards", says, self._before)
            return False
        if abs(at - self._before - SUMMER_HOUR) <= SUMMER_SLACK:
            says = f"row {self.rows} is one hour later than the one before: a clock that was changed, or a gap"
            self.say("clock changed", says, at)
        return True

    def _value(self, name: str, cell: str, factor: float, at: float) -> float:
        value = number(cell)
        if value is None or not math.isfinite(value):
            shown = f'"{cell[:20]}"' if cell else "an empty cell"
            self.say("not a number", f"{name}: {shown} in row {self.rows} is not a number", at, name)
            return math.nan
        return value * factor


def lines_of(block: bytes) -> Iterable[str]:
    """The lines of a block of a file, as a file that is opened as text gives them."""
    return io.StringIO(block.decode("utf-8", errors="replace"), newline="")
