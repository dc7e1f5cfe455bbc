"""One line of the record as one line for a person."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from traveller.counting import many
from traveller.judgement import Verdict
from traveller.quantities import show_quantity
from traveller.record.answers import in_words
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
    NonconformityClosed,
    NonconformityRaised,
    Noted,
    Placed,
    Released,
    Replied,
    Resumed,
    SentBack,
    Withdrawn,
)
from traveller.record.finding_entries import AuthorityGiven, AuthorityRefused, Investigated
from traveller.record.findings import amount, estimate_words
from traveller.record.handover_entries import NoteSeen
from traveller.record.inspection_entries import COUNTED, JointsSeen
from traveller.record.moisture_entries import BagClosed, BagOpened, PartsBaked
from traveller.record.notices import note_words
from traveller.record.parts_entries import PartAdded, PartsListed
from traveller.record.photo_entries import PhotoTaken
from traveller.record.return_entries import Returned
from traveller.record.run_entries import (
    FaultSettled,
    ReadingsTaken,
    RunJudged,
    RunPlanned,
    RunStarted,
    RunStopped,
    SamplesKept,
)
from traveller.record.runs_entries import RunsCounted, RunTakenBack
from traveller.record.shifts import zone_of
from traveller.record.sibling_entries import SiblingsMeasured, TraceTaken
from traveller.record.siblings import named
from traveller.record.thermal_entries import ThermalTaken
from traveller.record.work_entries import WorkFitted, WorkPlanned, WorkRejected, WorkStruck, WorkVerified


@dataclass(frozen=True)
class Names:
    """How a line calls what it is about: a check by what it asks, a tag by its name, a moment by the shop's clock."""

    asked: Callable[[str], str] = str
    called: Callable[[str], str] = str
    zone: str = "UTC"

    def moments(self, form: str, *given: datetime) -> str:
        """``02:14`` or ``02:14 to 02:24``; on a clock that is not the shop's it says so: ``00:14 UTC``."""
        told = " to ".join(f"{at.astimezone(zone_of(self.zone)):{form}}" for at in given)
        return told if self.zone != "UTC" else f"{told} UTC"


BY_KEY = Names()
"""Checks by their keys, tags as they are, times in UTC."""


def said(entry: Entry, names: Names = BY_KEY) -> str:
    """What the entry says, without who and when; an act that says nothing more is empty."""
    match entry.body:
        case Noted(text=text, done=done, next=step, watch=watch):
            return note_words(text, done, step, watch)
        case Replied(text=text):
            return text
        case Asked(text=text, to=to):
            return f"{text} (to {to})" if to else text
        case Moved(station=station):
            return f"to {station.replace('_', ' ')}"
        case Held(reason=reason, look_again=day):
            return f"{reason}; look again {day}"
        case HazardRaised(hazard=hazard, detail=words) | HazardCleared(hazard=hazard, how=words):
            return f"{hazard.label}: {words}"
        case Decided(outcome=outcome, reason=reason, customers_word=word):
            return f"{outcome}: {reason}" + (f" (customer: {word})" if word else "")
        case WorkPlanned() | WorkFitted() | WorkVerified() | WorkRejected() | WorkStruck() as body:
            return _work(body)
        case RunPlanned() | RunStarted() | ReadingsTaken() | SamplesKept() | RunJudged() | FaultSettled() as body:
            return _run(body, names)
        case RunStopped(why=why):
            return why
        case PartsListed() | PartAdded() | BagOpened() | BagClosed() | PartsBaked() as body:
            return _parts(body)
        case Answered() as body:
            return f"{names.asked(body.check)}: {_answered(body)}"
        case NonconformityRaised(found=found, check=check):
            return f"{found} ({names.asked(check)})" if check else found
        case NonconformityClosed(how=how):
            return how
        case ConcessionGranted(reason=reason, customers_word=word):
            return f"{reason} (customer: {word})"
        case Resumed(note=words) | EditionsMoved(reason=words):
            return words
        case AuthorityRefused(who=who, how=how, on=day, why=why):
            return f"{who}, {how}, {day}" + (f": {why}" if why else "")
        case NoteSeen() | Withdrawn():
            return ""
        case Placed(place=place):
            return f"on {names.called(place)}" if place else ""
        case BookedIn(nameplate=plate):
            return f"{plate.unit_kind.label} {plate.maker} {plate.model}, {plate.serial}, {plate.customer}"
        case SentBack(station=station, found=found):
            return f"to {station.replace('_', ' ')}: {found}"
        case ThermalTaken(file=file, seen=seen):
            return f"{file}: " + "; ".join(f"{one.area.name} {one.hottest:.1f} °C" for one in seen)
        case Investigated(root_cause=cause, advice=advice) as body:
            return f"{advice}, estimate {estimate_words(body)}: {cause}"
        case AuthorityGiven(who=who, how=how, up_to=most, currency=currency):
            return f"{who}, {how}: up to {amount(most, currency)}"
        case JointsSeen(joint_class=joint_class, how=how, opportunities=count, defects=defects):
            found = "; ".join(f"{one.place} {one.what}" for one in defects)
            counted = f"{len(defects)} defects in {count}, {how}" + (f": {found}" if found else "")
            return f"{joint_class}: {counted if how in COUNTED else how}"
        case PhotoTaken(of=of, names=files, caption=caption):
            about = names.asked(of) if "." in of else of or "the unit"
            return f"{about}: {caption or ', '.join(files)}"
        case SiblingsMeasured() | TraceTaken() | RunsCounted() | RunTakenBack() as body:
            return _measured(body)
        case Returned(earlier=tag, fault=fault, reason=reason) as body:
            return f"{tag}, {fault} fault, {body.in_words()}: {reason}"
        case Packed(packages=packages, packed_in=packed_in, carrier=carrier, consignment=number):
            return f"{many(len(packages), 'package')}, {packed_in}; {carrier}, consignment {number}"
        case Released(statement=statement, concessions=concessions):
            return "; ".join((statement, *concessions))
    facts = entry.body.model_dump(mode="json", exclude={"kind", "digest", "instrument"})
    return ", ".join(
        f"{name.replace('_', ' ')} {value}"
        for name, value in facts.items()
        if value not in ("", None, [], {}) and not isinstance(getattr(entry.body, name), UUID)
    )


def _answered(body: Answered) -> str:
    """``yes, pass``, ``pass, 4.991 V is inside 4.75 V to 5.25 V``: what both words say is said once."""
    answer, finding = in_words(body.answer), body.finding
    if finding.says in (answer, "") or finding.says.startswith("recorded"):
        return f"{answer}, {finding.verdict}"
    return (
        f"{finding.verdict}, {finding.says}"
        if finding.says.startswith(answer)
        else (f"{answer}, {finding.verdict}, {finding.says}")
    )


def _run(body: RunPlanned | RunStarted | ReadingsTaken | SamplesKept | RunJudged | FaultSettled, names: Names) -> str:
    match body:
        case RunPlanned(plan=plan, rig=rig):
            return f"on {names.called(rig)}: {', '.join(step.in_words() for step in plan.steps)}"
        case ReadingsTaken(values=values, note=note):
            return ", ".join([*(f"{name} {value:g}" for name, value in values.items()), *([note] if note else [])])
        case SamplesKept(count=count, begins=begins, ends=ends, faults=faults):
            wrong = f"; {', '.join(one.fault for one in faults)}" if faults else ""
            return f"{count} samples, {names.moments('%H:%M:%S', begins, ends)}{wrong}"
        case RunJudged(verdict=verdict, parts=parts):
            bad = [f"{one.name}: {one.finding.says}" for one in parts if one.finding.verdict is not Verdict.PASS]
            return "; ".join([str(verdict), *bad])
        case FaultSettled(fault=fault, how=how):
            return f"{fault}: {how}"
    return f"at {names.moments('%Y-%m-%d %H:%M', body.started)}"


def _work(body: WorkPlanned | WorkFitted | WorkVerified | WorkRejected | WorkStruck) -> str:
    match body:
        case WorkPlanned(reference=place, part=part, reason=reason, matched_set=name, because=because):
            return f"{place} {part}, " + (because or (f"{reason}: {name}" if name else reason))
        case WorkFitted(reference=place, fitted=part, lot=lot, finding=finding):
            compared = f"; against the original: {finding.verdict}, {finding.says}" if finding else ""
            return f"{place} {part}" + (f", lot {lot}" if lot else "") + compared
        case WorkRejected(reference=place, why=why) | WorkStruck(reference=place, why=why):
            return f"{place}: {why}"
    return body.reference


def _measured(body: SiblingsMeasured | TraceTaken | RunsCounted | RunTakenBack) -> str:
    match body:
        case SiblingsMeasured(set_name=name, row=row, finding=finding):
            read = ", ".join(f"{d} {show_quantity(r)}" for d, r in zip(body.devices, body.readings, strict=False))
            return f"{name}, {row}: {read}: {finding.verdict}, {named(finding.says, body.devices)}"
        case TraceTaken(node=node, role=role, points=points, taken=taken):
            return f"{node}, {role}, {len(points)} of {taken} points kept"
        case RunsCounted(test=test, runs=made, failures=failed):
            return f"{test}: {made} runs, {failed} failed"
    return f"{body.test}: one {'failed' if body.failed else 'clean'} run was a slip"


def _parts(body: PartsListed | PartAdded | BagOpened | BagClosed | PartsBaked) -> str:
    match body:
        case PartsListed(parts=parts, origin=origin):
            return f"{len(parts)} parts, from {origin}"
        case PartAdded(part=part):
            return f"{part.reference} {part.label}"
        case BagOpened(references=places, msl=msl, floor_life_h=hours, used_h=used):
            left = "no limit" if hours is None else f"{max(0.0, hours - used):g} h left"
            return f"{', '.join(places)}: level {msl}, {left}"
        case PartsBaked(references=places, hours=hours, oven=oven):
            return f"{', '.join(places)}: {hours:g} h at {oven} °C"
    return ", ".join(body.references)
