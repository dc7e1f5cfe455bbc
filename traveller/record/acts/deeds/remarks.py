"""Notes, questions and hazards, as deeds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal
from uuid import UUID

from traveller.record.acts import remark
from traveller.record.acts.deeds.deed import Deed, Looked
from traveller.record.acts.rights import Proposed
from traveller.record.notices import note_words
from traveller.vocabulary import HazardKind, Plain


class NoteParts(Plain):
    """What a note has to say, about a unit or to the shop."""

    text: str
    done: str = ""
    next: str = ""
    watch: str = ""
    for_whom: tuple[str, ...] = ()

    def says(self) -> str:
        whom = f" to {', '.join(self.for_whom)}" if self.for_whom else ""
        return f"note{whom}: {note_words(self.text, self.done, self.next, self.watch)}"


class Noting(NoteParts, Deed):
    ANYWHERE = True
    deed: Literal["note"] = "note"

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return remark.note(scene.view, scene.person, self.text, self.done, self.next, self.watch, self.for_whom)


class Asking(Deed):
    ANYWHERE = True
    deed: Literal["question"] = "question"
    text: str
    to: str = ""

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return remark.ask(scene.view, scene.person, self.text, self.to)

    def says(self) -> str:
        return f"question: {self.text}"


class Replying(Deed):
    ANYWHERE = True
    deed: Literal["reply"] = "reply"
    question: UUID
    text: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return remark.reply(scene.view, scene.person, self.question, self.text)

    def says(self) -> str:
        return f"reply: {self.text}"


class RaisingHazard(Deed):
    ANYWHERE = True
    deed: Literal["raise hazard"] = "raise hazard"
    hazard: HazardKind
    detail: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return remark.raise_hazard(scene.view, scene.person, self.hazard, self.detail)

    def says(self) -> str:
        return f"hazard {self.hazard.label}: {self.detail}"


class ClearingHazard(Deed):
    """Somebody else may have raised it anew after it was found safe: then it is not cleared unseen."""

    deed: Literal["clear hazard"] = "clear hazard"
    hazard: HazardKind
    how: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return remark.clear_hazard(scene.view, scene.person, self.hazard, self.how)

    def says(self) -> str:
        return f"hazard {self.hazard.label} cleared: {self.how}"


class SeeingNote(Deed):
    ANYWHERE = True
    deed: Literal["see note"] = "see note"
    note: UUID

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return remark.see_note(scene.view, scene.person, self.note)

    def says(self) -> str:
        return "note seen"
