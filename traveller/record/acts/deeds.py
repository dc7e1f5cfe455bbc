"""What a person may go on doing while the database is away: each deed as data, to be done later.

A deed is done by the same rules as ever, on the unit as it is when the deed comes onto the record. What others
did to the unit in between may ask for the person's word first: `Deed.touched_by` tells.
"""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, ClassVar, Literal
from uuid import UUID

from pydantic import Field

from traveller.errors import Refused
from traveller.record.acts import answer as answering
from traveller.record.acts import fitting, remark, route, work
from traveller.record.acts.rights import Proposed
from traveller.record.answers import Answer, in_words
from traveller.record.entries import (
    Answered,
    Body,
    Decided,
    EditionsMoved,
    HazardCleared,
    HazardRaised,
    Held,
    Moved,
    Placed,
    Resumed,
    SentBack,
)
from traveller.record.notices import note_words
from traveller.record.shop import Person, Shop
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.unit import Unit
from traveller.record.view import UnitView
from traveller.record.work_entries import (
    WorkFitted,
    WorkPlanned,
    WorkReason,
    WorkRejected,
    WorkStruck,
    WorkVerified,
)
from traveller.vocabulary import HazardKind, Plain

Work = WorkPlanned | WorkFitted | WorkVerified | WorkRejected | WorkStruck


@dataclass(frozen=True)
class Looked:
    """What a deed may look at; `now` is when it is done, or was done if it was kept."""

    view: UnitView
    person: Person
    shop: Shop
    today: date
    now: datetime


class Deed(Plain):
    """One act on one unit. `ANYWHERE`: it is as true after the unit has moved on as before."""

    ANYWHERE: ClassVar[bool] = False

    @abstractmethod
    def propose(self, scene: Looked) -> Sequence[Proposed]:
        """The entries; Refused or InputError in words."""

    @abstractmethod
    def says(self) -> str:
        """The deed as one line for the person who did it."""

    def touched_by(self, body: Body) -> bool:
        """Whether an entry that somebody else made meanwhile is about the same, so that both have to be seen."""
        return not self.ANYWHERE and isinstance(body, Moved | SentBack | Decided | EditionsMoved)

    def on_top(self, _unit: Unit) -> Deed:
        """The same deed by a person who has seen what the others did."""
        return self


class Answering(Deed):
    """`seen` is the entry that the person saw as the current answer, None when there was none."""

    deed: Literal["answer"] = "answer"
    check: str
    given: Answer
    instruments: tuple[str, ...] = ()
    seen: UUID | bool | None = None
    corrects: UUID | None = None
    because: str = ""

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        used = [_instrument(scene.shop, tag) for tag in self.instruments]
        return answering.answer(
            scene.view,
            scene.person,
            self.check,
            self.given,
            used,
            self.seen,
            self.corrects,
            self.because,
            scene.today,
        )

    def says(self) -> str:
        return f"{self.check}: {in_words(self.given)}"

    def touched_by(self, body: Body) -> bool:
        return super().touched_by(body) or (isinstance(body, Answered) and body.check == self.check)

    def on_top(self, unit: Unit) -> Deed:
        current = unit.current(self.check)
        return self.model_copy(update={"seen": current.entry if current else None})


def _instrument(shop: Shop, tag: str) -> InstrumentUsed:
    found = shop.instruments.get(tag)
    if found is None:
        raise Refused(f"{tag} is not an instrument of this shop: scan the tag on the instrument.")
    return found


class Noting(Deed):
    ANYWHERE = True
    deed: Literal["note"] = "note"
    text: str
    done: str = ""
    next: str = ""
    watch: str = ""
    for_whom: tuple[str, ...] = ()

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return remark.note(scene.view, scene.person, self.text, self.done, self.next, self.watch, self.for_whom)

    def says(self) -> str:
        return f"note: {note_words(self.text, self.done, self.next, self.watch)}"


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

    def touched_by(self, body: Body) -> bool:
        about = getattr(body, "hazard", None) if isinstance(body, HazardRaised | HazardCleared) else None
        if isinstance(body, Answered):
            about = body.hazard_raised or body.hazard_cleared
        return super().touched_by(body) or about == self.hazard or isinstance(body, WorkFitted | WorkRejected)


class Holding(Deed):
    deed: Literal["hold"] = "hold"
    reason: str
    look_again: date

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return route.hold(scene.view, scene.person, self.reason, self.look_again, scene.today)

    def says(self) -> str:
        return f"hold: {self.reason}, look again {self.look_again}"

    def touched_by(self, body: Body) -> bool:
        return super().touched_by(body) or isinstance(body, Held | Resumed)


class Resuming(Deed):
    deed: Literal["resume"] = "resume"
    note: str = ""

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return route.resume(scene.view, scene.person, self.note)

    def says(self) -> str:
        return f"resume: {self.note}" if self.note else "resume"

    def touched_by(self, body: Body) -> bool:
        return super().touched_by(body) or isinstance(body, Held | Resumed)


class Placing(Deed):
    deed: Literal["place"] = "place"
    place: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return route.place(scene.view, scene.person, self.place, scene.shop)

    def says(self) -> str:
        return f"put on {self.place}"

    def touched_by(self, body: Body) -> bool:
        return super().touched_by(body) or isinstance(body, Placed)


class Planning(Deed):
    deed: Literal["plan work"] = "plan work"
    references: tuple[str, ...]
    part: str
    reason: WorkReason
    matched_set: str = ""
    siblings: tuple[str, ...] = ()

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return work.plan(
            scene.view, scene.person, self.references, self.part, self.reason, self.matched_set, self.siblings
        )

    def says(self) -> str:
        return f"plan {', '.join(self.references)}: {self.part}"


class OnLine(Deed):
    """A deed on one line of the work list; another hand on the same line is seen first."""

    reference: str

    def touched_by(self, body: Body) -> bool:
        same = isinstance(body, Work) and body.reference == self.reference.strip().upper()
        return super().touched_by(body) or same


class Fitting(OnLine):
    deed: Literal["fit"] = "fit"
    fitted: str
    lot: str = ""
    offered: dict[str, str] = Field(default_factory=dict)
    anyway: str = ""

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        part = (self.reference, self.fitted, self.lot)
        return fitting.fit(scene.view, scene.person, *part, scene.now, self.offered, self.anyway)

    def says(self) -> str:
        return f"{self.reference} fitted: {self.fitted}"


class Verifying(OnLine):
    deed: Literal["verify"] = "verify"

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return work.verify(scene.view, scene.person, self.reference)

    def says(self) -> str:
        return f"{self.reference} verified"


class Rejecting(OnLine):
    deed: Literal["reject"] = "reject"
    why: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return work.reject(scene.view, scene.person, self.reference, self.why)

    def says(self) -> str:
        return f"{self.reference} not right: {self.why}"


class Striking(OnLine):
    deed: Literal["strike"] = "strike"
    why: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return work.strike(scene.view, scene.person, self.reference, self.why)

    def says(self) -> str:
        return f"{self.reference} struck: {self.why}"


AnyDeed = Annotated[
    Answering
    | Noting
    | Asking
    | Replying
    | RaisingHazard
    | ClearingHazard
    | Holding
    | Resuming
    | Placing
    | Planning
    | Fitting
    | Verifying
    | Rejecting
    | Striking,
    Field(discriminator="deed"),
]
