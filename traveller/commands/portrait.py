"""A unit as plain data (for ``--json``) and as plain lines (for people and for screen readers)."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from traveller.record.answers import in_words
from traveller.record.entries import Entry
from traveller.record.evidence import Standing
from traveller.record.gate import Reason
from traveller.record.pieces import Group, said_together
from traveller.record.redoing import to_redo
from traveller.record.saying import Names, said
from traveller.record.view import UnitView
from traveller.record.worklist import progress
from traveller.screens.words import because_words
from traveller.store.cards import Card


def standing_data(standing: Standing) -> dict[str, Any]:
    evidence = standing.evidence
    return {
        "check": standing.check.full_key,
        "ask": standing.check.ask,
        "state": str(standing.state),
        "because": standing.because,
        "since": standing.since.isoformat() if standing.since else None,
        "answer": in_words(evidence.answer) if evidence and evidence.answer else None,
        "by": evidence.by if evidence else None,
        "at": evidence.at.isoformat() if evidence else None,
        "finding": evidence.finding.model_dump(mode="json") if evidence and evidence.finding else None,
    }


def reason_data(reason: Reason) -> dict[str, str]:
    return {
        "kind": reason.kind,
        "says": reason.says,
        "todo": reason.todo,
        "station": reason.station,
        "check": reason.check,
    }


def unit_data(view: UnitView) -> dict[str, Any]:
    unit = view.unit
    return {
        "tag": unit.tag,
        "nameplate": unit.nameplate.model_dump(mode="json") if unit.nameplate else None,
        "station": unit.station,
        "place": unit.place,
        "outcome": unit.outcome,
        "sequence": unit.sequence,
        "released": unit.release.at.isoformat() if unit.release else None,
        "hold": {"reason": unit.hold.reason, "look_again": str(unit.hold.look_again)} if unit.hold else None,
        "hazards": [{"hazard": str(one.kind), "detail": view.proof.found(one)} for one in unit.hazards.values()],
        "next": view.next_step(),
        "checks": [standing_data(one) for one in view.standings()],
        "work": [
            {
                "reference": one.reference,
                "part": one.part,
                "reason": one.reason,
                "because": one.because,
                "action": one.action,
                "state": str(one.state),
            }
            for one in unit.work.values()
        ],
        "questions": [{"id": str(one.id), "text": one.text, "reply": one.reply} for one in unit.questions.values()],
        "nonconformities": [
            {"id": str(one.id), "found": one.found, "check": one.check, "state": one.state}
            for one in unit.nonconformities.values()
        ],
        "to_redo": [one.check.full_key for one in to_redo(view)],
        "gate": [reason_data(one) for one in view.reasons],
    }


def card_data(card: Card) -> dict[str, Any]:
    return {
        "tag": card.tag,
        "kind": card.unit_kind,
        "maker": card.maker,
        "model": card.model,
        "serial": card.serial,
        "customer": card.customer,
        "order": card.order_ref,
        "station": card.station,
        "promised": str(card.promised) if card.promised else None,
        "held": card.held_reason or None,
        "hazards": list(card.hazards),
        "released": card.released_at.isoformat() if card.released_at else None,
        "checks": [card.checks_done, card.checks_asked],
        "work": [card.work_done, card.work_lines],
        "stale": card.stale,
        "failed": card.failed,
        "next_check": card.next_check or None,
    }


def card_line(card: Card) -> str:
    """One line of a queue: every state as a word, nothing by colour."""
    marks = [f"HAZARD {hazard.replace('_', ' ')}" for hazard in card.hazards]
    marks += [f"on hold: {card.held_reason}"] if card.held_reason else []
    marks += ["released"] if card.released_at else []
    marks += [f"{card.stale} stale"] if card.stale else []
    marks += [f"{card.failed} failed"] if card.failed else []
    station = card.station.replace("_", " ")
    promised = card.promised.isoformat() if card.promised else "no date"
    return (
        f"{card.tag}  {promised:10}  {station:14}  {card.checks_done:>2}/{card.checks_asked:<2}  "
        f"{card.maker} {card.model}, {card.customer}" + (f"  [{'; '.join(marks)}]" if marks else "")
    )


def unit_lines(view: UnitView, zone: str) -> Iterator[str]:
    """`zone` is the shop's: times are told by its clock."""
    unit = view.unit
    if unit.nameplate:
        plate = unit.nameplate
        yield f"{unit.tag}  {plate.unit_kind.label}  {plate.maker} {plate.model}  serial {plate.serial}"
        yield f"for {plate.customer}  order {plate.order or '-'}  promised {plate.promised or 'no date'}"
        yield f"fault as reported: {plate.fault}"
    for hazard in unit.hazards.values():
        yield f"! HAZARD {hazard.kind.label}: {view.proof.found(hazard)}"
    if unit.hold:
        yield f"on hold: {unit.hold.reason}, look again {unit.hold.look_again}"
    yield f"next: {view.next_step()}"
    yield f"work: {progress(unit.work, 'verified')}"
    yield from redo_lines(view, zone)
    for sheet in view.book.sheets:
        standings = view.standings(sheet.key)
        here = "  <- here" if sheet.key == unit.station and not unit.release else ""
        yield f"{sheet.name}  {sum(one.state.counts for one in standings)}/{len(standings)}{here}"
        for one in standings:
            yield f"  {one.state.sign} {one.check.short}: {_says(one, zone)}  [{one.check.key}]"


def redo_lines(view: UnitView, zone: str) -> Iterator[str]:
    """What has to be proved again, in route order, each with the reason and since when."""
    for one in to_redo(view):
        yield f"do again: {one.check.short}: {because_words(one, zone)}  [{one.check.full_key}]"


def _says(standing: Standing, zone: str) -> str:
    if standing.evidence is None or standing.evidence.answer is None:
        return str(standing.state)
    answer = in_words(standing.evidence.answer)
    return f"{answer}  ({standing.state}{f', {because_words(standing, zone)}' if standing.because else ''})"


def group_line(group: Group, names: Names) -> str:
    """A line of the history; pieces of samples that stand together are one."""
    if len(group) == 1:
        return entry_line(group[0], names)
    first, last = group[0], group[-1]
    return (
        f"{first.sequence:>4}  {first.at:%Y-%m-%d %H:%M}Z  {last.by}  {last.body.kind}  "
        f"{said_together(group, names)} (--all shows each)"
    )


def entry_line(entry: Entry, names: Names) -> str:
    mark = f" (corrects an earlier line: {entry.because})" if entry.corrects else ""
    late = f" (kept at {entry.terminal}, shared {entry.shared:%H:%M}Z)" if entry.shared else ""
    head = f"{entry.sequence:>4}  {entry.at:%Y-%m-%d %H:%M}Z  {entry.by}  {entry.body.kind}"
    return f"{head}  {said(entry, names)}{mark}{late}"
