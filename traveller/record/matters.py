"""What an entry is about, so that two hands on the same thing can be told from two hands on the same unit."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from traveller.record.carriage_entries import Packed
from traveller.record.entries import (
    Answered,
    Body,
    HazardCleared,
    HazardRaised,
    Held,
    Placed,
    Replied,
    Resumed,
)
from traveller.record.finding_entries import AuthorityGiven, AuthorityRefused, Investigated
from traveller.record.inspection_entries import JointsSeen
from traveller.record.moisture_entries import BagClosed, BagOpened, PartsBaked
from traveller.record.parts_entries import PartAdded, PartsListed
from traveller.record.run_entries import FaultSettled
from traveller.record.runs_entries import RunsCounted, RunTakenBack
from traveller.record.sibling_entries import SiblingsMeasured, TraceTaken
from traveller.record.siblings import key_of
from traveller.record.work_entries import WorkFitted, WorkPlanned, WorkRejected, WorkStruck, WorkVerified


class Matter(NamedTuple):
    kind: str
    name: str = ""


WORKED_ON = Matter("worked on")
PARTS_LIST = Matter("parts list")


def touches(body: Body) -> set[Matter]:
    """What is no longer as somebody saw it before this entry."""
    match body:
        case Answered(check=check, hazard_raised=raised, hazard_cleared=cleared):
            return {Matter("check", check), *(Matter("hazard", one.value) for one in (raised, cleared) if one)}
        case HazardRaised(hazard=hazard) | HazardCleared(hazard=hazard):
            return {Matter("hazard", hazard.value)}
        case WorkFitted(reference=place):
            return {Matter("line", place), Matter("bag", place), WORKED_ON}
        case WorkRejected(reference=place):
            return {Matter("line", place), WORKED_ON}
        case WorkPlanned(reference=place) | WorkVerified(reference=place) | WorkStruck(reference=place):
            return {Matter("line", place)}
        case BagOpened(references=places) | BagClosed(references=places) | PartsBaked(references=places):
            return {Matter("bag", one) for one in places}
        case PartsListed(parts=parts):
            return {PARTS_LIST, *(Matter("part", one.reference) for one in parts)}
        case PartAdded(part=part):
            return {PARTS_LIST, Matter("part", part.reference)}
    single = _single(body)
    return {single} if single else set()


def _single(body: Body) -> Matter | None:
    match body:
        case Held() | Resumed():
            return Matter("hold")
        case Placed():
            return Matter("place")
        case Replied(question=question):
            return Matter("question", str(question))
        case SiblingsMeasured(set_name=name, row=row):
            return Matter("siblings", f"{key_of(name)}: {key_of(row)}")
        case TraceTaken(node=node, role=role):
            return Matter("trace", f"{node} {role}")
        case RunsCounted(test=test) | RunTakenBack(test=test):
            return Matter("runs", key_of(test))
        case JointsSeen(joint_class=joint_class):
            return Matter("joints", joint_class.value)
        case Investigated() | AuthorityGiven() | AuthorityRefused():
            return Matter("findings")
        case FaultSettled(fault=fault):
            return Matter("fault", fault)
        case Packed():
            return Matter("packing")
    return None


def minds(bodies: Iterable[Body]) -> set[Matter]:
    """What has to be as it was seen, so that these entries may be made unasked. Raising a hazard minds nothing; one
    is not cleared unseen after work, because the work may have brought it back."""
    return {matter for body in bodies for matter in _minds(body)}


def _minds(body: Body) -> set[Matter]:
    match body:
        case Answered(check=check, hazard_cleared=cleared):
            return {Matter("check", check), *((Matter("hazard", cleared.value), WORKED_ON) if cleared else ())}
        case HazardRaised():
            return set()
        case HazardCleared():
            return {*touches(body), WORKED_ON}
        case WorkFitted() | WorkRejected():
            return touches(body) - {WORKED_ON}
        case PartsListed():
            return {PARTS_LIST}
        case PartAdded():
            return touches(body) - {PARTS_LIST}
    return touches(body)
