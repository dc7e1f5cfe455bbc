"""What was done while the database was away, in a file of this terminal: `kept.jsonl`, a line for every step.

Lines are only added: a deed is kept, delivered, or turned into a question; a question is delivered or dropped. A line
is on the disk before anybody is told so, and the pictures that it names are there before the line. When nothing is
left to do, the file is emptied; what was dropped stays in `dropped.jsonl`, and a line that a power cut damaged in
`damaged.jsonl`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Annotated, Literal
from uuid import UUID

from filelock import FileLock
from pydantic import AwareDatetime, ConfigDict, Field, TypeAdapter, ValidationError

from traveller.errors import NotReachable
from traveller.record.acts.afterwards import Kept
from traveller.store.kept_pictures import KeptPictures
from traveller.store.on_disk import append, replace
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
LINE: TypeAdapter[Line] = TypeAdapter(Line, config=ConfigDict(defer_build=True))


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

    def find(self, which: UUID) -> Kept | None:
        asked = self.questions.get(which)
        return asked.kept if asked else self.waiting.get(which)

    def pictures(self) -> set[str]:
        """The SHA-256 of every picture that something here names."""
        every = [*self.waiting.values(), *(one.kept for one in self.questions.values())]
        return {one.sha256 for kept in every for one in kept.enclosed}


class Keepsafe:
    """One per terminal folder; several programs may use it at once."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._file = folder / "kept.jsonl"
        self._lock = FileLock(str(folder / "kept.lock"))
        self.pictures = KeptPictures(folder / "pictures")
        self._dropped = KeptPictures(folder / "dropped_pictures")
        self._read: tuple[tuple[int, int, int], Pile] | None = None
        self.damaged = 0
        """Lines that could not be read and were set aside since this terminal was opened."""

    def pile(self) -> Pile:
        """What waits; the file is read again when it has changed."""
        stamp = self._stamp()
        if stamp is None:
            return Pile()
        if self._read is None or self._read[0] != stamp:
            try:
                with self._lock:
                    self._read = (stamp, self._fold())
            except OSError as error:
                raise NotReachable(
                    f"{self._folder} cannot be used ({error.strerror}), and something is kept there: look after the "
                    "disk of this terminal first."
                ) from error
        return self._read[1]

    def keep(self, kept: Kept, pictures: Mapping[str, bytes]) -> None:
        """On the disk when this returns, the pictures by their SHA-256 too; NotReachable when it could not be."""
        _need_readable(KeptLine(kept=kept))
        with self._writing():
            for sha256, data in pictures.items():
                self.pictures.put(sha256, data)
            self._note(KeptLine(kept=kept))

    def delivered(self, which: UUID) -> None:
        """Its pictures are on the record as well, so they go from here."""
        with self._writing():
            self._end(DeliveredLine(id=which))

    def ask(self, which: UUID, why: Iterable[str], stale: bool) -> None:
        with self._writing():
            self._note(QuestionLine(id=which, why=tuple(why), stale=stale))

    def drop(self, question: Question, line: DroppedLine) -> None:
        """Into the file and the folder of what was dropped first, so that no power cut makes it nothing."""
        deed = DroppedDeed(kept=question.kept, why=question.why, dropped=line)
        with self._writing():
            for one in question.kept.enclosed:
                if data := self.pictures.find(one.sha256):
                    self._dropped.put(one.sha256, data)
            append(self._folder / "dropped.jsonl", deed.model_dump_json().encode())
            self._end(line)

    def _note(self, line: Line) -> None:
        append(self._file, line.model_dump_json().encode())

    @contextmanager
    def _writing(self) -> Iterator[None]:
        try:
            self._folder.mkdir(parents=True, exist_ok=True)
            with self._lock:
                yield
        except OSError as error:
            raise NotReachable(
                f"The database is away, and {self._folder} cannot be written either ({error.strerror}): write it on "
                "paper, and make room on the disk of this terminal."
            ) from error

    def _end(self, line: DeliveredLine | DroppedLine) -> None:
        """Nothing is left to do about it: its pictures go from here, unless something else names them."""
        ended = self._fold().find(line.id)
        self._note(line)
        pile = self._fold()
        self.pictures.forget({one.sha256 for one in ended.enclosed} - pile.pictures() if ended else ())
        if not pile.waiting and not pile.questions:
            replace(self._file, b"")

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
        for text in filter(None, lines):
            try:
                pile.take(LINE.validate_json(text))
            except ValidationError:
                bad.append(text)
            else:
                sound.append(text)
        if bad:
            for text in bad:
                append(self._folder / "damaged.jsonl", text)
            replace(self._file, b"".join(one + b"\n" for one in sound))
            self.damaged += len(bad)
        return pile


def _need_readable(line: KeptLine) -> None:
    """A line that could not be read back is never written: nobody shall believe it kept."""
    try:
        LINE.validate_json(line.model_dump_json())
    except ValidationError:
        raise NotReachable(
            f"{line.kept.deed.says()}: this cannot wait at this terminal. Write it on paper until the database is back."
        ) from None
