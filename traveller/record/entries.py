"""The kinds of entry. An entry is one immutable line: who, when, at which terminal, what.

Subjects are units (their tag) and the shop itself (`shop_entries.SHOP`). Nothing is erased: an entry that corrects an
earlier one names it in `corrects` and says why, and both stay.
"""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated, Any, Literal
from uuid import UUID

from pydantic import AwareDatetime, Field

from traveller.inert import inert
from traveller.judgement import Finding
from traveller.record.answers import Answer
from traveller.record.carriage_entries import Packed
from traveller.record.finding_entries import AuthorityGiven, AuthorityRefused, Investigated
from traveller.record.handover_entries import HandoverBody
from traveller.record.inspection_entries import JointsSeen
from traveller.record.moisture_entries import BagClosed, BagOpened, PartsBaked
from traveller.record.parts_entries import PartAdded, PartHeadersLearned, PartsListed
from traveller.record.photo_entries import PhotoTaken
from traveller.record.return_entries import Returned
from traveller.record.rig_entries import RigBody
from traveller.record.run_entries import RunBody
from traveller.record.runs_entries import RunsCounted, RunTakenBack
from traveller.record.shift_entries import ShiftBody
from traveller.record.shop_entries import (
    InstrumentRegistered,
    InstrumentUsed,
    PersonEnrolled,
    PersonLeft,
    RigRegistered,
    ShelfRegistered,
    ShopNamed,
)
from traveller.record.sibling_entries import SiblingsMeasured, TraceTaken
from traveller.record.thermal_entries import ThermalTaken
from traveller.record.work_entries import WorkFitted, WorkPlanned, WorkRejected, WorkStruck, WorkVerified
from traveller.vocabulary import RATINGS, HazardKind, Plain, Short, UnitKind, Words


class Nameplate(Plain):
    """What the unit is and what was promised. Ratings are in plain SI units, by the names in `RATINGS`."""

    unit_kind: UnitKind
    maker: Short
    model: Short
    serial: Short
    customer: Short
    order: str = ""
    fault: Words
    promised: date | None = None
    ratings: dict[str, float] = Field(default_factory=dict)

    def rating_lines(self) -> list[tuple[str, float, str]]:
        """(label, value, unit) of each rating that is known."""
        return [(RATINGS[n].label, v, RATINGS[n].unit) for n, v in self.ratings.items() if n in RATINGS]


# ---- on the traveller of a unit -------------------------------------------------------------------------


class BookedIn(Plain):
    """`editions` pins, station by station, the edition of the sheet that this unit is worked by."""

    kind: Literal["booked in"] = "booked in"
    nameplate: Nameplate
    station: str
    editions: dict[str, str]


class Answered(Plain):
    """`edition` is that of the station's sheet, `asks` the digest of the check as it was worded then, `day` the day
    of the reading in the shop's zone (older entries have none)."""

    kind: Literal["answered"] = "answered"
    check: str
    station: str
    edition: str
    asks: str
    answer: Answer
    finding: Finding
    instruments: tuple[InstrumentUsed, ...] = ()
    day: date | None = None
    hazard_raised: HazardKind | None = None
    hazard_cleared: HazardKind | None = None


class Noted(Plain):
    """`for_whom` holds the badges, crews or stations that must see it; empty is everybody who looks."""

    kind: Literal["noted"] = "noted"
    text: Words
    done: str = ""
    next: str = ""
    watch: str = ""
    for_whom: tuple[str, ...] = ()


class Asked(Plain):
    """An open question; it keeps the unit from leaving until it is replied to."""

    kind: Literal["asked"] = "asked"
    text: Words
    to: str = ""


class Replied(Plain):
    kind: Literal["replied"] = "replied"
    question: UUID
    text: Words


class Moved(Plain):
    kind: Literal["moved"] = "moved"
    station: str


class SentBack(Plain):
    """The unit goes back, and what was found is a nonconformity until it is closed or conceded.

    The identifier of the nonconformity is the identifier of this entry, or `known` if it was put down before.
    """

    kind: Literal["sent back"] = "sent back"
    station: str
    found: Words
    check: str = ""
    known: UUID | None = None


class Placed(Plain):
    """The unit lies on a shelf or stands on a rig (their tag)."""

    kind: Literal["placed"] = "placed"
    place: str


class Held(Plain):
    kind: Literal["held"] = "held"
    reason: Words
    look_again: date


class Resumed(Plain):
    kind: Literal["resumed"] = "resumed"
    note: str = ""


class HazardRaised(Plain):
    kind: Literal["hazard raised"] = "hazard raised"
    hazard: HazardKind
    detail: Words


class HazardCleared(Plain):
    """Cleared by signature: `how` says what was measured or done."""

    kind: Literal["hazard cleared"] = "hazard cleared"
    hazard: HazardKind
    how: Words


class NonconformityRaised(Plain):
    """Something that is not as it should be, found without sending the unit back.

    Its identifier is the identifier of this entry.
    """

    kind: Literal["nonconformity raised"] = "nonconformity raised"
    found: Words
    check: str = ""


class NonconformityClosed(Plain):
    kind: Literal["nonconformity closed"] = "nonconformity closed"
    nonconformity: UUID
    how: Words


class ConcessionGranted(Plain):
    """Release with a named nonconformity (ISO 9000 concession).

    It covers the answer that stood when it was granted and no later one.
    """

    kind: Literal["concession granted"] = "concession granted"
    nonconformity: UUID
    reason: Words
    customers_word: Words
    answer: UUID | None = None


Outcome = Literal["repair", "return unrepaired", "scrap"]


class Decided(Plain):
    kind: Literal["decided"] = "decided"
    outcome: Outcome
    reason: Words
    customers_word: str = ""


class EditionsMoved(Plain):
    """The unit is from here on worked by other editions of the sheets."""

    kind: Literal["editions moved"] = "editions moved"
    editions: dict[str, str]
    reason: Words


class Released(Plain):
    """The signature that lets the unit leave. `digest` closes the chain of the entries before it."""

    kind: Literal["released"] = "released"
    statement: str
    outcome: Outcome
    concessions: tuple[str, ...] = ()
    digest: str


class Withdrawn(Plain):
    """Takes an earlier note, photo or answer off the record's sum; the line itself stays."""

    kind: Literal["withdrawn"] = "withdrawn"


Body = Annotated[
    BookedIn
    | Answered
    | Noted
    | Asked
    | Replied
    | Moved
    | SentBack
    | Placed
    | Held
    | Resumed
    | HazardRaised
    | HazardCleared
    | WorkPlanned
    | WorkFitted
    | WorkVerified
    | WorkRejected
    | WorkStruck
    | ThermalTaken
    | PhotoTaken
    | Investigated
    | AuthorityGiven
    | AuthorityRefused
    | JointsSeen
    | SiblingsMeasured
    | TraceTaken
    | RunsCounted
    | RunTakenBack
    | PartsListed
    | PartAdded
    | BagOpened
    | BagClosed
    | PartsBaked
    | Packed
    | Returned
    | NonconformityRaised
    | NonconformityClosed
    | ConcessionGranted
    | Decided
    | EditionsMoved
    | Released
    | Withdrawn
    | RunBody
    | PersonEnrolled
    | PersonLeft
    | InstrumentRegistered
    | RigRegistered
    | RigBody
    | ShelfRegistered
    | ShopNamed
    | PartHeadersLearned
    | ShiftBody
    | HandoverBody,
    Field(discriminator="kind"),
]


class Draft(Plain):
    """An entry before it has a place in the record. `id` is made by the terminal, so a repeat is harmless."""

    id: UUID
    body: Body
    corrects: UUID | None = None
    because: str = ""


class Entry(Plain):
    """One line of the record. `sequence` counts from 1 within the subject, without a gap. `at` is when it was done;
    `shared` is when it came onto the record, if it was kept at the terminal while the database was away."""

    id: UUID
    subject: str
    sequence: int = Field(ge=1)
    at: AwareDatetime
    by: str
    terminal: str
    body: Body
    corrects: UUID | None = None
    because: str = ""
    shared: AwareDatetime | None = None


def made_inert(draft: Draft) -> Draft:
    """The draft without anything that a terminal would obey, wherever the text came from."""
    written = draft.model_dump(mode="python")
    harmless = _inert(written)
    return draft if harmless == written else Draft.model_validate(harmless)


def _inert(value: Any) -> Any:
    match value:
        case float() | int() | None:  # most of what a logger's chunk is made of
            return value
        case str() if not isinstance(value, StrEnum):
            return inert(value)
        case dict():
            return {_inert(name): _inert(one) for name, one in value.items()}
        case list() | tuple():
            return type(value)(_inert(one) for one in value)
    return value
