"""What a unit is, worked out by folding its entries. Any sequence of entries folds; nothing here raises."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from uuid import UUID

from traveller.judgement import Finding
from traveller.record import findings, joints, moisture, parts, photos, runs, siblings, traces
from traveller.record.answers import Answer
from traveller.record.carriage_entries import Packed
from traveller.record.entries import (
    Answered,
    Asked,
    BookedIn,
    ConcessionGranted,
    Decided,
    EditionsMoved,
    Entry,
    HazardCleared,
    HazardRaised,
    Held,
    Moved,
    Nameplate,
    NonconformityClosed,
    NonconformityRaised,
    Noted,
    Outcome,
    Placed,
    Released,
    Replied,
    Resumed,
    SentBack,
    Withdrawn,
)
from traveller.record.facts import Disturbance, Evidence, Hazard, Hold, Nonconformity, Question, Release
from traveller.record.finding_entries import AuthorityGiven, AuthorityRefused, Investigated
from traveller.record.handover_entries import NoteSeen
from traveller.record.heat_runs import run
from traveller.record.inspection_entries import JointsSeen
from traveller.record.moisture_entries import BagClosed, BagOpened, PartsBaked
from traveller.record.parts import PartsOnUnit
from traveller.record.parts_entries import PartAdded, PartsListed
from traveller.record.photo_entries import PhotoTaken
from traveller.record.return_entries import Returned
from traveller.record.run_entries import RunBody
from traveller.record.runs_entries import RunsCounted, RunTakenBack
from traveller.record.sibling_entries import SiblingsMeasured, TraceTaken
from traveller.record.thermal_entries import ThermalTaken
from traveller.record.work_entries import WorkFitted, WorkPlanned, WorkRejected, WorkStruck, WorkVerified
from traveller.record.worklist import WorkList, with_entry
from traveller.vocabulary import HazardKind


@dataclass
class Unit:
    """The sum of a unit's entries. Built by `fold`; everybody else only reads it."""

    tag: str
    nameplate: Nameplate | None = None
    station: str = ""
    place: str = ""
    editions: dict[str, str] = field(default_factory=dict)
    outcome: Outcome = "repair"
    hold: Hold | None = None
    release: Release | None = None
    hazards: dict[HazardKind, Hazard] = field(default_factory=dict)
    answers: dict[str, list[Evidence]] = field(default_factory=dict)
    disturbances: list[Disturbance] = field(default_factory=list)
    work: WorkList = field(default_factory=dict)
    heat_runs: run.Runs = field(default_factory=dict)
    parts: PartsOnUnit = field(default_factory=PartsOnUnit)
    clocks: moisture.Clocks = field(default_factory=dict)
    fitters: set[str] = field(default_factory=set)
    siblings: siblings.Siblings = field(default_factory=dict)
    traces: traces.Traces = field(default_factory=dict)
    runs: runs.Runs = field(default_factory=dict)
    nonconformities: dict[UUID, Nonconformity] = field(default_factory=dict)
    questions: dict[UUID, Question] = field(default_factory=dict)
    photos: photos.Photos = ()
    joints: joints.Counts = field(default_factory=dict)
    findings_made: findings.FindingsMade = field(default_factory=findings.FindingsMade)
    notes: list[Entry] = field(default_factory=list)
    notes_seen: dict[UUID, set[str]] = field(default_factory=dict)
    thermal: list[Entry] = field(default_factory=list)
    packed: Entry | None = None
    returned: Returned | None = None
    corrected: dict[UUID, UUID] = field(default_factory=dict)
    sequence: int = 0
    booked_at: datetime | None = None
    last_at: datetime | None = None
    arrived_at: datetime | None = None

    def current(self, check: str) -> Evidence | None:
        """The answer that counts: the one that stands latest; a correction beats what it corrects."""
        history = self.answers.get(check)
        if not history:
            return None
        latest = max(history, key=lambda one: (one.stands_at, one.sequence))
        return latest if latest.finding else None

    def open_nonconformities(self) -> list[Nonconformity]:
        return [one for one in self.nonconformities.values() if one.state == "open"]

    def open_questions(self) -> list[Question]:
        return [one for one in self.questions.values() if not one.reply]


def fold(tag: str, entries: Iterable[Entry]) -> Unit:
    """Fold a unit's entries, in sequence, into what the unit is."""
    unit = Unit(tag=tag)
    seen: dict[UUID, Entry] = {}
    stands_for: dict[UUID, Entry] = {}
    for entry in entries:
        target = seen.get(entry.corrects) if entry.corrects else None
        fits = target is not None and may_correct(entry, target)
        if target and fits:
            unit.corrected[target.id] = entry.id
        stands_for[entry.id] = stands_for[target.id] if target and fits else entry
        seen[entry.id] = entry
        unit.sequence, unit.last_at = entry.sequence, entry.at
        if entry.corrects and not fits:
            continue
        _apply(unit, entry, target, stands_for[entry.id])
    return unit


def may_correct(entry: Entry, target: Entry) -> bool:
    """A correction is of the same kind as what it corrects, and for an answer of the same check."""
    match entry.body, target.body:
        case Withdrawn(), Answered() | Noted() | PhotoTaken():
            return True
        case Answered(check=new), Answered(check=old):
            return new == old
        case (BookedIn(), BookedIn()) | (Noted(), Noted()):
            return True
    return False


def _apply(unit: Unit, entry: Entry, corrected: Entry | None, first: Entry) -> None:
    match entry.body:
        case BookedIn() as body:
            _book_in(unit, entry, body, corrected)
        case Answered() as body:
            _answer(unit, entry, body, corrected, first)
        case Withdrawn() if corrected:
            _withdraw(unit, entry, corrected, first)
        case Noted():
            unit.notes = [n for n in unit.notes if not corrected or n.id != corrected.id] + [entry]
        case NoteSeen(note=note):
            unit.notes_seen.setdefault(note, set()).add(entry.by)
        case Asked() as body:
            unit.questions[entry.id] = Question(entry.id, body.text, body.to, entry.by, entry.at)
        case Replied(question=asked, text=text) if asked in unit.questions:
            unit.questions[asked] = replace(unit.questions[asked], reply=text, replied_by=entry.by)
        case Moved(station=station):
            unit.station, unit.arrived_at = station, entry.at
        case SentBack() as body:
            _send_back(unit, entry, body)
        case PhotoTaken() as body:
            unit.photos = photos.with_entry(unit.photos, entry, body)
        case JointsSeen() as body:
            unit.joints = joints.with_entry(unit.joints, entry, body)
        case Placed(place=place):
            unit.place = place
        case Held(reason=reason, look_again=look_again):
            unit.hold = Hold(reason, look_again, entry.by, entry.at)
        case Resumed():
            unit.hold = None
        case HazardRaised(hazard=hazard, detail=detail):
            unit.hazards.setdefault(hazard, Hazard(hazard, detail, entry.by, entry.at))
        case HazardCleared(hazard=hazard):
            unit.hazards.pop(hazard, None)
        case WorkPlanned() | WorkFitted() | WorkVerified() | WorkRejected() | WorkStruck() as body:
            _work(unit, entry, body)
        case body if isinstance(body, RunBody):
            unit.heat_runs = run.with_entry(unit.heat_runs, entry)
        case ThermalTaken():
            unit.thermal.append(entry)
        case SiblingsMeasured() as body:
            unit.siblings = siblings.with_entry(unit.siblings, entry, body)
        case TraceTaken() as body:
            unit.traces = traces.with_entry(unit.traces, entry, body)
        case RunsCounted() as body:
            unit.runs = runs.with_counted(unit.runs, entry, body)
        case RunTakenBack() as body:
            unit.runs = runs.with_taken_back(unit.runs, body)
        case PartsListed() | PartAdded() as body:
            unit.parts = parts.with_entry(unit.parts, body)
        case BagOpened() | BagClosed() | PartsBaked() as body:
            unit.clocks = moisture.with_entry(unit.clocks, entry, body)
        case Packed():
            unit.packed = entry
        case Returned() as body:
            unit.returned = body
        case _:
            _end_or_decide(unit, entry)


def _end_or_decide(unit: Unit, entry: Entry) -> None:
    match entry.body:
        case NonconformityRaised(found=found, check=check):
            _raise_nonconformity(unit, entry, found, check)
        case NonconformityClosed(nonconformity=which, how=how) if which in unit.nonconformities:
            unit.nonconformities[which] = replace(
                unit.nonconformities[which], state="closed", ended_by=entry.by, ended_how=how
            )
        case ConcessionGranted(nonconformity=which) as body if which in unit.nonconformities:
            unit.nonconformities[which] = replace(
                unit.nonconformities[which],
                state="conceded",
                ended_by=entry.by,
                ended_how=body.reason,
                customers_word=body.customers_word,
                covers=body.answer,
            )
        case Decided() as body:
            unit.outcome = body.outcome
            unit.findings_made = findings.with_entry(unit.findings_made, entry, body)
        case Investigated() | AuthorityGiven() | AuthorityRefused() as body:
            unit.findings_made = findings.with_entry(unit.findings_made, entry, body)
        case EditionsMoved(editions=editions):
            unit.editions = {**unit.editions, **editions}
        case Released() as body:
            unit.release = Release(entry.by, entry.at, body.statement, body.outcome, body.digest)


def _book_in(unit: Unit, entry: Entry, body: BookedIn, corrected: Entry | None) -> None:
    if unit.nameplate:
        unit.disturbances.append(Disturbance(("nameplate",), entry.sequence, "nameplate corrected", entry.at))
    unit.nameplate = body.nameplate
    if corrected:
        return
    unit.station, unit.editions = body.station, dict(body.editions)
    unit.booked_at = unit.arrived_at = entry.at


def _answer(unit: Unit, entry: Entry, body: Answered, corrected: Entry | None, first: Entry) -> None:
    _restore_hazard(unit, entry, corrected)
    unit.answers.setdefault(body.check, []).append(_evidence(entry, body, body.answer, body.finding, first))
    if raised := body.hazard_raised:
        known = unit.hazards.get(raised)
        unit.hazards[raised] = Hazard(
            raised, body.finding.says, entry.by, known.since if known else entry.at, body.check
        )
    if body.hazard_cleared:
        unit.hazards.pop(body.hazard_cleared, None)
    events = (f"check:{body.check}",) if corrected else (f"check:{body.check}", f"station:{body.station}")
    says = "corrected" if corrected else "answered again"
    unit.disturbances.append(Disturbance(events, entry.sequence, says, entry.at, body.check))


def _evidence(entry: Entry, body: Answered, answer: Answer | None, finding: Finding | None, first: Entry) -> Evidence:
    """`first` is the entry that the answer stands for: itself, or the one at the root of its corrections."""
    return Evidence(
        entry=entry.id,
        check=body.check,
        station=body.station,
        edition=body.edition,
        asks=body.asks,
        answer=answer,
        finding=finding,
        instruments=body.instruments,
        by=entry.by,
        at=entry.at,
        sequence=entry.sequence,
        stands_at=first.sequence,
        measured=first.at,
        day=(first.body.day if isinstance(first.body, Answered) else None) or first.at.date(),
    )


def _withdraw(unit: Unit, entry: Entry, withdrawn: Entry, first: Entry) -> None:
    _restore_hazard(unit, entry, withdrawn)
    unit.photos = photos.without(unit.photos, withdrawn.id)
    if isinstance(withdrawn.body, Noted):
        unit.notes = [note for note in unit.notes if note.id != withdrawn.id]
    if isinstance(withdrawn.body, Answered):
        body = withdrawn.body
        unit.answers.setdefault(body.check, []).append(_evidence(entry, body, None, None, first))
        events = (f"check:{body.check}",)
        unit.disturbances.append(Disturbance(events, entry.sequence, "withdrawn", entry.at, body.check))


def _restore_hazard(unit: Unit, entry: Entry, corrected: Entry | None) -> None:
    """A hazard that was cleared by an answer now corrected stands again until something else clears it."""
    if corrected and isinstance(corrected.body, Answered) and corrected.body.hazard_cleared:
        hazard = corrected.body.hazard_cleared
        detail = "the answer that cleared it was corrected"
        unit.hazards.setdefault(hazard, Hazard(hazard, detail, entry.by, entry.at))


def sending_back(station: str) -> tuple[str, ...]:
    """What happens, in the words of ``stale_after``, when a unit is sent back to a station."""
    return ("sent_back", f"sent_back_to:{station}")


def _send_back(unit: Unit, entry: Entry, body: SentBack) -> None:
    if not any(one.id == body.known for one in unit.open_nonconformities()):
        _raise_nonconformity(unit, entry, body.found, body.check)
    events = sending_back(body.station)
    says = f"sent back to {body.station.replace('_', ' ')}"
    unit.disturbances.append(Disturbance(events, entry.sequence, says, entry.at))
    unit.station, unit.arrived_at, unit.packed = body.station, entry.at, None


def _raise_nonconformity(unit: Unit, entry: Entry, found: str, check: str) -> None:
    unit.nonconformities[entry.id] = Nonconformity(entry.id, found, check, unit.station, entry.by, entry.at)


def _work(unit: Unit, entry: Entry, body: WorkPlanned | WorkFitted | WorkVerified | WorkRejected | WorkStruck) -> None:
    unit.work = with_entry(unit.work, entry, body)
    line = unit.work.get(body.reference)
    if isinstance(body, WorkFitted):
        unit.fitters.add(entry.by)
        if line and line.action == "replace":
            unit.clocks = moisture.with_fitted(unit.clocks, body.reference, entry.at)
    if isinstance(body, WorkFitted | WorkRejected):
        done = (
            "rejected" if isinstance(body, WorkRejected) else "checked" if line and line.action == "check" else "fitted"
        )
        says = f"{body.reference} {done}"
        unit.disturbances.append(Disturbance(("work",), entry.sequence, says, entry.at))
        unit.packed = None
