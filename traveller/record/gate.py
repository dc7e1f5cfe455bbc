"""May this unit leave, and if not, why not. Only an empty list of reasons opens the gate."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal

from traveller.record.evidence import Proof, Standing, State
from traveller.record.joints import DEFECTS, classes_left
from traveller.record.worklist import lines_short_of
from traveller.sheets import Sheet
from traveller.vocabulary import HazardKind

ReasonKind = Literal[
    "check",
    "hazard",
    "hold",
    "nonconformity",
    "work",
    "question",
    "authority",
    "joints",
    "station",
    "not booked in",
    "released",
]


@dataclass(frozen=True)
class Reason:
    """One thing that keeps the unit, in words, with the way to it: a station, and a check or a work line."""

    kind: ReasonKind
    says: str
    todo: str
    station: str = ""
    check: str = ""


def gate(proof: Proof) -> list[Reason]:
    """Everything that keeps the unit in the workshop, in route order."""
    unit = proof.unit
    if unit.nameplate is None:
        return [Reason("not booked in", "the unit was never booked in", "book it in")]
    if unit.release:
        return [Reason("released", "the unit has been released; its traveller is sealed", "book it in anew")]
    return list(_reasons(proof))


def _reasons(proof: Proof) -> Iterator[Reason]:
    unit, book = proof.unit, proof.book
    for hazard in unit.hazards.values():
        yield Reason("hazard", f"hazard: {hazard.kind.label} ({proof.found(hazard)})", "make safe, then clear it")
    if unit.hold:
        yield Reason("hold", f"on hold: {unit.hold.reason}", "resume the unit when the reason is gone")
    yield from _authority(proof)
    for sheet in book.sheets:
        yield from _open_checks(proof, sheet)
    yield from _joints(proof)
    yield from _open_work(proof, "verified")
    for one in unit.open_nonconformities():
        yield Reason("nonconformity", f"nonconformity: {one.found}", "rework and close it, or a concession")
    for question in unit.open_questions():
        yield Reason("question", f"open question: {question.text}", "reply to it")
    if unit.station != book.last.key:
        yield Reason("station", f"stands at {_name(proof, unit.station)}", f"bring it to {book.last.name}")


def blockers(proof: Proof) -> list[Reason]:
    """What keeps the unit from going on to the next station: the same rules, up to where it stands."""
    unit, book = proof.unit, proof.book
    here = book.sheet(unit.station)
    if here is None:
        return [Reason("not booked in", "the unit stands at no station", "book it in")]
    reasons = energised(proof)
    if unit.hold:
        reasons.append(Reason("hold", f"on hold: {unit.hold.reason}", "resume the unit first"))
    reasons += _authority(proof)
    for sheet in book.sheets:
        if sheet.order <= here.order:
            reasons += _joints(proof, sheet)
            reasons += _open_checks(proof, sheet, proof.is_settled)
            reasons += _open_work(proof, sheet.work_lines) if sheet.work_lines else []
    return reasons


def _authority(proof: Proof) -> Iterator[Reason]:
    """What the findings say is still to be agreed or decided, as long as the unit is to be repaired."""
    says, todo = proof.unit.findings_made.in_the_way()
    if says and proof.unit.outcome == "repair":
        yield Reason("authority", says, todo)


def _joints(proof: Proof, only_of: Sheet | None = None) -> Iterator[Reason]:
    """A count of joints that was begun has to be finished, and done again after later work."""
    sheet = proof.book.sheet(DEFECTS.partition(".")[0])
    if sheet is None or not proof.unit.joints or proof.unit.outcome != "repair":
        return
    left = classes_left(proof)
    if left and only_of in (None, sheet):
        says = f"{sheet.name}: joints not seen yet: {', '.join(left)}"
        yield Reason("joints", says, "look at each class and count, or say that there are none", sheet.key)


def energised(proof: Proof) -> list[Reason]:
    """An energised unit goes nowhere, neither on nor back."""
    hazard = proof.unit.hazards.get(HazardKind.ENERGISED)
    if hazard is None:
        return []
    todo = "switch off, lock off, prove dead, and answer the check that says so"
    return [Reason("hazard", f"hazard: energised ({proof.found(hazard)})", todo)]


def _counts(standing: Standing) -> bool:
    return standing.state.counts


def _open_checks(proof: Proof, sheet: Sheet, settled: Callable[[Standing], bool] = _counts) -> Iterator[Reason]:
    for standing in proof.standings(sheet.key):
        check = standing.check
        if settled(standing) or (standing.state is State.OPEN and not check.required):
            continue
        joined = " " if check.ask.endswith("?") else ": "
        says = f"{sheet.name}: {check.ask}{joined}{_words(standing)}"
        yield Reason("check", says, _todo(standing), sheet.key, check.full_key)


def _words(standing: Standing) -> str:
    if standing.state is State.OPEN:
        return "not answered"
    if standing.because:
        return f"{standing.state}, {standing.because}"
    says = standing.evidence.finding.says if standing.evidence and standing.evidence.finding else ""
    return f"{standing.state}, {says}" if says else str(standing.state)


def _todo(standing: Standing) -> str:
    return {
        State.OPEN: "answer it",
        State.STALE: "do it again",
        State.FAILED: "put it right and answer again, send the unit back, or a concession",
        State.UNDECIDED: "measure with a better instrument, or a concession",
        State.OUT_OF_CALIBRATION: "measure again with an instrument in calibration",
        State.NO_INSTRUMENT: "answer again and scan the instrument",
        State.OWN_WORK: "let somebody else answer it",
    }[standing.state]


def _open_work(proof: Proof, wanted: str) -> Iterator[Reason]:
    if proof.unit.outcome != "repair":
        return
    for line in lines_short_of(proof.unit.work, wanted):
        yield Reason("work", f"{line.reference} {line.part}: {line.state}, not {wanted}", f"bring it to {wanted}")


def _name(proof: Proof, station: str) -> str:
    sheet = proof.book.sheet(station)
    return sheet.name if sheet else station or "no station"
