"""Notes, questions, hazards, nonconformities and concessions."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from traveller.errors import Refused
from traveller.record.acts.rights import Proposed, known_check, need_open, need_role, need_words
from traveller.record.entries import (
    Asked,
    ConcessionGranted,
    HazardCleared,
    HazardRaised,
    NonconformityClosed,
    NonconformityRaised,
    Noted,
    Replied,
)
from traveller.record.evidence import State
from traveller.record.facts import Nonconformity
from traveller.record.handover_entries import NoteSeen
from traveller.record.shop import Person
from traveller.record.view import UnitView
from traveller.vocabulary import HazardKind, Role


def note(
    view: UnitView,
    person: Person,
    text: str,
    done: str = "",
    next_step: str = "",
    watch: str = "",
    for_whom: Sequence[str] = (),
) -> list[Proposed]:
    """One part is enough: without `text` the first that is filled is the note."""
    need_open(view)
    need_role(person, "write a note", *Role)
    done, next_step, watch = done.strip(), next_step.strip(), watch.strip()
    body = Noted(
        text=need_words(text.strip() or done or next_step or watch, "what is to be noted"),
        done=done,
        next=next_step,
        watch=watch,
        for_whom=tuple(for_whom),
    )
    return [Proposed(body)]


def see_note(view: UnitView, person: Person, which: UUID) -> list[Proposed]:
    """This person has read a note; nothing is proposed when they had before."""
    need_open(view)
    if which not in {entry.id for entry in view.unit.notes}:
        raise Refused("There is no such note on this unit: it was withdrawn or corrected.")
    return [] if person.tag in view.unit.notes_seen.get(which, ()) else [Proposed(NoteSeen(note=which))]


def ask(view: UnitView, person: Person, text: str, to: str = "") -> list[Proposed]:
    need_open(view)
    need_role(person, "ask a question", *Role)
    return [Proposed(Asked(text=need_words(text, "what the question is"), to=to.strip()))]


def reply(view: UnitView, person: Person, question: UUID, text: str) -> list[Proposed]:
    need_open(view)
    need_role(person, "reply to a question", *Role)
    if question not in {one.id for one in view.unit.open_questions()}:
        raise Refused("There is no such open question on this unit: somebody has replied, or it was never asked.")
    return [Proposed(Replied(question=question, text=need_words(text, "the reply")))]


def raise_hazard(view: UnitView, person: Person, hazard: HazardKind, detail: str) -> list[Proposed]:
    need_open(view)
    need_role(person, "raise a hazard", *Role)
    if hazard in view.unit.hazards:
        raise Refused(f"The hazard {hazard.label} stands already: {view.proof.found(view.unit.hazards[hazard])}.")
    return [Proposed(HazardRaised(hazard=hazard, detail=need_words(detail, "what is dangerous and where")))]


def clear_hazard(view: UnitView, person: Person, hazard: HazardKind, how: str) -> list[Proposed]:
    """By signature. Where a check clears the hazard, answering that check is the better way."""
    need_open(view)
    need_role(person, "clear a hazard", Role.TECHNICIAN, Role.LOAD_TESTER, Role.LEAD)
    if hazard not in view.unit.hazards:
        raise Refused(f"The hazard {hazard.label} does not stand on this unit: there is nothing to clear.")
    return [Proposed(HazardCleared(hazard=hazard, how=need_words(how, "what was measured or done")))]


def raise_nonconformity(view: UnitView, person: Person, found: str, check: str = "") -> list[Proposed]:
    need_open(view)
    need_role(person, "raise a nonconformity", *Role)
    if check:
        known_check(view, check)
    return [Proposed(NonconformityRaised(found=need_words(found, "what is not as it should be"), check=check))]


def _need_open_nonconformity(view: UnitView, which: UUID) -> Nonconformity:
    need_open(view)
    for one in view.unit.open_nonconformities():
        if one.id == which:
            return one
    raise Refused("There is no such open nonconformity on this unit: somebody has ended it, or it was never raised.")


def close_nonconformity(view: UnitView, person: Person, which: UUID, how: str) -> list[Proposed]:
    """Put right and seen by somebody who did not do the rework."""
    one = _need_open_nonconformity(view, which)
    need_role(person, "close a nonconformity", Role.INSPECTOR, Role.LOAD_TESTER, Role.LEAD, Role.QUALITY)
    if person.tag in view.proof.workers:
        raise Refused(f"{person.name} did work on this unit: somebody else closes the nonconformity.")
    check = view.book.check(one.check) if one.check else None
    if check and view.proof.is_asked(check) and not view.proof.standing(check).state.counts:
        raise Refused(f'"{check.ask}" does not pass yet: answer it again first.')
    return [Proposed(NonconformityClosed(nonconformity=which, how=need_words(how, "how it was put right")))]


def concede(view: UnitView, person: Person, which: UUID, reason: str, customers_word: str) -> list[Proposed]:
    """A lead lets a named nonconformity pass, with the customer's word for it (ISO 9000 concession)."""
    one = _need_open_nonconformity(view, which)
    need_role(person, "grant a concession", Role.LEAD)
    check = view.book.check(one.check) if one.check else None
    standing = view.proof.standing(check) if check and view.proof.is_asked(check) else None
    covered = None
    if standing and standing.evidence and standing.state in (State.FAILED, State.UNDECIDED):
        covered = standing.evidence.entry
    body = ConcessionGranted(
        nonconformity=which,
        reason=need_words(reason, "why the unit may leave as it is"),
        customers_word=need_words(customers_word, "who of the customer agreed, when and how"),
        answer=covered,
    )
    return [Proposed(body)]
