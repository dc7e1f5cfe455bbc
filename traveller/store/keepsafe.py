"""What was done while the database was away, in a file of this terminal: `kept.jsonl`, a line for every step.

Lines are only added: a deed is kept, delivered, or turned into a question; a question is delivered or dropped. A line
is on the disk before anybody is told so. When nothing is left to do, the file is emptied; what was dropped stays in
`dropped.jsonl`, and a line that a power cut damaged in `damaged.jsonl`.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Literal
from uuid import UUID

from filelock import FileLock
from pydantic import AwareDatetime, Field, TypeAdapter, ValidationError

from traveller.errors import NotReachable
from traveller.record.acts.afterwards import Kept
from traveller.vocabulary import Plain


class KeptLine(Plain):
    line: Literal["kept"] = "kept"
    kept: Kept


class DeliveredLine(Plain):
    line: Literal["delivered"] = "delivered"
    id: UUID


class QuestionLine(Plain):
    """It was not taken: `why` says what stands on the record instead, or which rule refused."""

    line: Literal["question"] = "question"
    id: UUID
    why: tuple[str, ...]
    stale: bool = False


class DroppedLine(Plain):
    line: Literal["dropped"] = "dropped"
    id: UUID
    by: str
    because: str
    at: AwareDatetime


class DroppedDeed(Plain):
    """In the file of what was dropped: the deed itself, what stood against it, and who dropped it why."""

    kept: Kept
    why: tuple[str, ...]
    dropped: DroppedLine


Line = Annotated[KeptLine | DeliveredLine | QuestionLine | DroppedLine, Field(discriminator="line")]
LINE: TypeAdapter[Line] = TypeAdapter(Line)


@dataclass(frozen=True)
class Question:
    """A kept deed that a person has to decide about."""

    kept: Kept
    why: tuple[str, ...]
    stale: bool


@dataclass
class Pile:
    """What the file adds up to, in the order in which it was done."""

    waiting: dict[UUID, Kept] = field(default_factory=dict)
    questions: dict[UUID, Question] = field(default_factory=dict)

    def take(self, line: Line) -> None:
        match line:
            case KeptLine(kept=kept):
                self.waiting[kept.id] = kept
            case QuestionLine(id=which, why=why, stale=stale):
                if which in self.waiting:
                    self.questions[which] = Question(self.waiting.pop(which), why, stale)
            case DeliveredLine(id=which) | DroppedLine(id=which):
                self.waiting.pop(which, None)
                self.questions.pop(which, None)


class Keepsafe:
    """One per terminal folder; several programs may use it at once."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._file = folder / "kept.jsonl"
        self._lock = FileLock(str(folder / "kept.lock"))
        self._read: tuple[tuple[int, int, int], Pile] | None = None
        self.damaged = 0
        """Lines that could not be read and were set aside since this terminal was opened."""

    def pile(self) -> Pile:
        """What waits; the file is read again when it has changed."""
        stamp = self._stamp()
        if stamp is None:
            return Pile()
        if self._read is None or self._read[0] != stamp:
            with self._lock:
                self._read = (stamp, self._fold())
        return self._read[1]

    def keep(self, kept: Kept) -> None:
        """On the disk when this returns; NotReachable when it could not be written."""
        self._write(KeptLine(kept=kept))

    def delivered(self, which: UUID) -> None:
        self._write(DeliveredLine(id=which))

    def ask(self, which: UUID, why: Iterable[str], stale: bool) -> None:
        self._write(QuestionLine(id=which, why=tuple(why), stale=stale))

    def drop(self, question: Question, line: DroppedLine) -> None:
        """Into the file of what was dropped first, so that no power cut makes it nothing."""
        deed = DroppedDeed(kept=question.kept, why=question.why, dropped=line)
        with self._lock:
            _append(self._folder / "dropped.jsonl", deed.model_dump_json().encode())
        self._write(line)

    def _write(self, line: Line) -> None:
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            with self._lock:
                _append(self._file, line.model_dump_json().encode())
                if not isinstance(line, KeptLine):
                    self._empty_when_done()
        except OSError as error:
            raise NotReachable(
                f"The database is away, and {self._file} cannot be written either ({error.strerror}): write it on "
                "paper, and make room on the disk of this terminal."
            ) from error

    def _empty_when_done(self) -> None:
        pile = self._fold()
        if not pile.waiting and not pile.questions:
            _replace(self._file, b"")

    def _stamp(self) -> tuple[int, int, int] | None:
        try:
            found = self._file.stat()
        except OSError:
            return None
        return found.st_mtime_ns, found.st_size, found.st_ino

    def _fold(self) -> Pile:
        """The lines in order. What cannot be read is set aside, never thrown away."""
        pile, sound, bad = Pile(), [], []
        try:
            lines = self._file.read_bytes().split(b"\n")
        except FileNotFoundError:
            return pile
        except OSError as error:
            raise NotReachable(f"{self._file} cannot be read ({error.strerror}): look after it first.") from error
        for text in filter(None, lines):
            try:
                pile.take(LINE.validate_json(text))
            except ValidationError:
                bad.append(text)
            else:
                sound.append(text)
        if bad:
            for text in bad:
                _append(self._folder / "damaged.jsonl", text)
            _replace(self._file, b"".join(one + b"\n" for one in sound))
            self.damaged += len(bad)
        return pile


def _append(file: Path, text: bytes) -> None:
    """One line more, on the disk when this returns. A line that a power cut left without its end is ended first."""
    fresh = not file.exists()
    with os.fdopen(os.open(file, os.O_RDWR | os.O_CREAT, 0o600), "r+b") as opened:
        end = opened.seek(0, os.SEEK_END)
        torn = end > 0 and _byte_at(opened.fileno(), end - 1) != b"\n"
        opened.seek(0, os.SEEK_END)
        opened.write((b"\n" if torn else b"") + text + b"\n")
        opened.flush()
        os.fsync(opened.fileno())
    if fresh:
        _sync_folder(file.parent)


def _byte_at(descriptor: int, place: int) -> bytes:
    os.lseek(descriptor, place, os.SEEK_SET)
    return os.read(descriptor, 1)


def _replace(file: Path, content: bytes) -> None:
    beside = file.with_suffix(".new")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as opened:
        opened.write(content)
        opened.flush()
        os.fsync(opened.fileno())
    beside.replace(file)
    _sync_folder(file.parent)


def _sync_folder(folder: Path) -> None:
    """So that the name of a new file is on the disk too; only where a folder can be opened."""
    if os.name == "posix":
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)
