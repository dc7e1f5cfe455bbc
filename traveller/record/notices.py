"""Notes and questions to the shop as a whole, and who has seen them. Folded from the entries of the shop."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING
from uuid import UUID

from traveller.record.facts import Question
from traveller.record.handover_entries import NoteSeen, ShopAsked, ShopNoted, ShopNoteEnded, ShopReplied

if TYPE_CHECKING:
    from traveller.record.entries import Body, Entry

EVERYBODY = "everybody"


@dataclass(frozen=True)
class Notice:
    """A note to the shop. `seen` holds who has read it and when."""

    id: UUID
    body: ShopNoted
    by: str
    at: datetime
    seen: dict[str, datetime] = field(default_factory=dict)

    @property
    def says(self) -> str:
        return note_words(self.body.text, self.body.done, self.body.next, self.body.watch)


@dataclass(frozen=True)
class Notices:
    """Only what still stands: a note until it is ended, a question until it is answered."""

    notes: dict[UUID, Notice] = field(default_factory=dict)
    questions: dict[UUID, Question] = field(default_factory=dict)


def with_entry(state: Notices, entry: Entry, body: Body) -> Notices:
    """The state after one more entry of the shop; entries of other kinds change nothing."""
    match body:
        case ShopNoted():
            return replace(state, notes={**state.notes, entry.id: Notice(entry.id, body, entry.by, entry.at)})
        case NoteSeen(note=which) if which in state.notes:
            note = state.notes[which]
            seen = {entry.by: entry.at, **note.seen}
            return replace(state, notes={**state.notes, which: replace(note, seen=seen)})
        case ShopNoteEnded(note=which):
            return replace(state, notes={key: one for key, one in state.notes.items() if key != which})
        case ShopAsked(text=text, to=to):
            question = Question(entry.id, text, to, entry.by, entry.at)
            return replace(state, questions={**state.questions, entry.id: question})
        case ShopReplied(question=which):
            return replace(state, questions={key: one for key, one in state.questions.items() if key != which})
    return state


def note_words(text: str, done: str = "", next_step: str = "", watch: str = "") -> str:
    """The parts of a note as one line; a part that is the whole note is not said twice."""
    parts = (
        ("", "" if text in (done, next_step, watch) else text),
        ("done: ", done),
        ("next: ", next_step),
        ("watch: ", watch),
    )
    told = [f"{head}{words}" for head, words in parts if words]
    return "; ".join([*(one.rstrip(".") for one in told[:-1]), *told[-1:]])


def read_whom(text: str) -> tuple[str, ...]:
    """``B, load_test; P000002G`` as the names in it; everybody when there is none or the word says so."""
    names = [one.strip() for one in text.replace(";", ",").split(",") if one.strip()]
    return () if any(one.casefold() == EVERYBODY for one in names) else tuple(names)


def concerns(for_whom: Iterable[str], person: str, crew: str, station: str = "") -> bool:
    """Whether a note is meant for this person, crew or station; one that names nobody is for everybody."""
    names = {_plain(one) for one in for_whom}
    own = {_plain(one) for one in (person, crew, station, f"crew {crew}" if crew else "") if one}
    return not names or bool(names & own)


def _plain(name: str) -> str:
    """``Crew B`` and ``crew_b`` are the same name."""
    return name.casefold().replace(" ", "_")
