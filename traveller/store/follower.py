"""A logger's file into a run: the whole of it at once, or line by line while it grows.

A file that is followed loses nothing: whoever follows it again goes on behind the newest sample that is kept. From
standard input a follower that is killed loses at most what came in the last `FLUSH_SECONDS`.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass
from io import TextIOWrapper
from pathlib import Path
from queue import Empty, Queue
from threading import Thread
from typing import IO, Literal

from traveller.errors import InputError, NotReachable
from traveller.record.heat_runs.cells import cells_of
from traveller.record.heat_runs.columns import columns_of, mapped
from traveller.record.heat_runs.intake import Batch, Intake, lines_of
from traveller.record.heat_runs.run import Run
from traveller.record.rig_entries import LoggerMapped, TimeForm
from traveller.record.run_entries import InputFault
from traveller.record.shifts import zone_of
from traveller.store.chunks import Packed, packed
from traveller.store.workshop import Workshop

FLUSH_SECONDS = 2.0
IDLE_SECONDS = 0.3
FOLLOWED_SECONDS, IMPORTED_SECONDS = 60.0, 300.0
LARGEST_IMPORT = 2_000_000_000
BLOCK = 256 * 1024

Tick = Literal["nothing new", "replaced"]
Tell = Callable[[str], None]


@dataclass(frozen=True)
class Said:
    """What was said about the columns: the heading of the time, heading -> channel, and how times are written."""

    time: str = ""
    channels: Mapping[str, str] | None = None
    form: TimeForm | None = None


@dataclass(frozen=True)
class Report:
    """What became of a file: samples kept, rows that were kept before, chunks, and everything that was wrong."""

    samples: int
    kept_before: int
    chunks: int
    faults: tuple[InputFault, ...]
    gaps: tuple[str, ...]


class Follower:
    """Feeds one run from one logger."""

    def __init__(
        self, workshop: Workshop, tag: str, by: str, said: Said = Said(), seconds: float = FOLLOWED_SECONDS
    ) -> None:
        self._workshop, self._tag, self._by, self._said, self._seconds = workshop, tag, by, said, seconds
        self._run: Run = workshop.heat_runs.watch(tag).run
        if self._run.started is None:
            raise InputError("The run has not started: start it, then its samples can be kept.")
        self._intake: Intake | None = None
        self._waiting: list[Packed] = []
        self._headings = ""
        self._origin = ""
        self._kept = 0
        self._chunks = 0
        self._faults: list[InputFault] = []
        self._ended: float | None = None
        self._gaps: list[str] = []

    # ---- the whole file at once -------------------------------------------------------------------------

    def take_all(self, path: Path) -> Report:
        """Import a file: all of it or nothing."""
        self._origin = path.name
        for block in _blocks(path):
            self._block(block)
        if self._intake is None:
            raise InputError(f"{path} is empty: there is not even a line of headings.")
        self._intake.cut()
        self._imported(self._intake.full())
        if self._waiting:
            self._keep_waiting()
        return self._report()

    def _block(self, block: bytes) -> None:
        """What became full is packed at once, so that a long file does not lie in memory as numbers."""
        if not self._headings:
            lines = iter(lines_of(block))
            heading = next((line for line in lines if line.strip()), "")
            if not heading:
                return
            self._open(heading)
            block = "".join(lines).encode()
        assert self._intake
        self._intake.take_block(block)
        self._imported(self._intake.full())

    def _imported(self, full: list[Batch]) -> None:
        self._note_gaps(full)
        self._pack(full)

    # ---- line by line -----------------------------------------------------------------------------------

    def follow(self, source: Iterable[str | Tick], origin: str, tell: Tell = lambda _words: None) -> Report:
        """Until the source ends: chunks are kept as they become full, what is open every two seconds."""
        self._origin = origin
        flushed = time.monotonic()
        try:
            for line in source:
                if line == "replaced":
                    self._begin_again()
                elif line != "nothing new":
                    self._line(line)
                if time.monotonic() - flushed >= FLUSH_SECONDS:
                    self._flush(tell)
                    flushed = time.monotonic()
        finally:
            if self._intake:
                self._intake.cut()
                self._flush(tell)
        return self._report()

    def _begin_again(self) -> None:
        if self._intake:
            words = "another file was put in the place of the one that is followed; rows kept before are left out"
            self._intake.again()
            self._intake.say("file replaced", words, self._workshop.desk.clock().timestamp())
        self._headings = ""

    def _line(self, line: str) -> None:
        if not line.strip():
            return
        if not self._headings:
            self._open(line)
            return
        assert self._intake
        self._intake.take(line, self._workshop.desk.clock())

    def _open(self, line: str) -> None:
        """The line of headings: which column is which channel, from what was said now or before."""
        self._headings = line
        if self._intake:
            return
        headings = tuple(cells_of(line.lstrip("\ufeff")))
        shop = self._workshop.shop()
        mapping = shop.loggers.get(headings)
        if mapping is None or self._said.channels or self._said.time or self._said.form:
            mapping = mapped(headings, self._run.plan, self._said.time, self._said.channels)
            mapping = mapping.model_copy(update={"form": self._said.form})
        columns = columns_of(mapping, self._run.plan)
        self._remember(mapping)
        assert self._run.started
        last = self._run.chunks[-1].ends.timestamp() if self._run.chunks else None
        zone = zone_of(shop.zone)
        self._intake = Intake(columns, zone, self._run.started, last, self._seconds)
        if left := self._workshop.heat_runs.opened(self._run):
            self._intake.resume(left)

    def _remember(self, mapping: LoggerMapped) -> None:
        self._workshop.heat_runs.remember_logger(mapping, self._by)

    def _flush(self, tell: Tell) -> None:
        """Keep what is full, put by what is open. A database that cannot be reached is waited for."""
        if self._intake is None:
            return
        self._pack(self._intake.full())
        try:
            if self._waiting:
                self._keep_waiting()
            if self._intake.open.times:
                self._workshop.heat_runs.keep_open(self._run, self._intake.open)
        except NotReachable as error:
            tell(f"{error} The samples are held here until then.")

    def _pack(self, full: Iterable[Batch]) -> None:
        self._waiting += [packed(one, self._run.id, self._run.plan) for one in full]

    def _keep_waiting(self) -> None:
        """All that waits onto the record, in one transaction."""
        self._workshop.heat_runs.keep(self._tag, self._by, self._waiting, self._origin)
        for one in self._waiting:
            self._kept += one.count
            self._chunks += 1
            self._faults += [fault for fault in one.faults if fault.key not in {f.key for f in self._faults}]
        self._waiting = []

    def _note_gaps(self, full: Iterable[Batch]) -> None:
        """Where no sample came for longer than the plan allows."""
        import numpy as np

        longest = self._run.plan.gap_minutes * 60
        for one in full:
            times = np.array(one.times if self._ended is None else (self._ended, *one.times))
            for place in np.flatnonzero(np.diff(times) > longest):
                before, after = float(times[place]), float(times[place + 1])
                stamp = time.strftime("%Y-%m-%d %H:%M:%S", time.gmtime(before))
                self._gaps.append(f"no sample for {(after - before) / 60:.3g} min after {stamp} UTC")
            self._ended = one.times[-1]

    def _report(self) -> Report:
        before = self._intake.kept_before if self._intake else 0
        return Report(self._kept, before, self._chunks, tuple(self._faults), tuple(self._gaps))


# ---- where lines come from ------------------------------------------------------------------------------


def _blocks(path: Path) -> Iterator[bytes]:
    """The file in blocks of whole lines, each ended; a block ends behind ``\\n``, or ``\\r`` where there is none."""
    left = b""
    try:
        if path.stat().st_size > LARGEST_IMPORT:
            raise InputError(f"{path} is larger than 2 GB: export it in parts.")
        with path.open("rb") as file:
            while part := file.read(BLOCK):
                whole = left + part
                end = (whole.rfind(b"\n") + 1) or (whole.rfind(b"\r") + 1)
                left = whole[end:]
                if end:
                    yield whole[:end]
    except OSError as error:
        raise InputError(f"{path} cannot be read ({error.strerror}): look at the path.") from None
    if left:
        yield left + b"\n"


def tail(path: Path, *, until_end: bool = False) -> Iterator[str | Tick]:
    """The lines of a growing file, only whole ones; says when nothing is new, and when another file is in its
    place or it has become shorter. With `until_end` it ends where the file ends."""
    try:
        file, left = _opened(path), ""
    except OSError as error:
        raise InputError(f"{path} cannot be read ({error.strerror}): look at the path.") from None
    try:
        while True:
            if part := file.readline():
                left += part
                if left.endswith("\n"):
                    yield left
                    left = ""
            elif until_end:
                if left:
                    yield left
                return
            elif other := _other(path, file):
                file.close()
                file, left = other, ""
                yield "replaced"
            else:
                yield "nothing new"
                time.sleep(IDLE_SECONDS)
    except OSError as error:
        raise InputError(
            f"{path} cannot be read any more ({error.strerror}): follow it again, and it goes on behind what is kept."
        ) from None
    finally:
        file.close()


def _opened(path: Path) -> IO[str]:
    return path.open(encoding="utf-8-sig", errors="replace", newline="")


def _other(path: Path, file: IO[str]) -> IO[str] | None:
    """The file that stands there now, if it is another one or was cut short; one that is gone for a moment is
    waited for."""
    try:
        there, mine = path.stat(), os.fstat(file.fileno())
        same = (there.st_dev, there.st_ino) == (mine.st_dev, mine.st_ino) and there.st_size >= file.tell()
        return None if same else _opened(path)
    except OSError:
        return None


def piped(stream: IO[str]) -> Iterator[str | Tick]:
    """The lines of a pipe as they come, and word when nothing is new; ends with the pipe. Bytes that are not of its
    encoding are read as signs that stand for them, as in a file."""
    lines: Queue[str | None] = Queue(maxsize=100_000)
    if isinstance(stream, TextIOWrapper):
        stream.reconfigure(errors="replace")

    def read() -> None:
        with suppress(OSError, ValueError):  # a pipe that breaks ends like one that is closed
            for line in stream:
                lines.put(line)
        lines.put(None)

    Thread(target=read, name="logger", daemon=True).start()
    while True:
        try:
            line = lines.get(timeout=IDLE_SECONDS)
        except Empty:
            yield "nothing new"
            continue
        if line is None:
            return
        yield line
