"""The work list: planning, fitting, verifying, rejecting and striking lines."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import ValidationError

from traveller.errors import InputError, Refused
from traveller.record.acts.rights import Proposed, need_open, need_role, need_words
from traveller.record.places import expanded
from traveller.record.shop import Person
from traveller.record.view import UnitView
from traveller.record.work_entries import WorkFitted, WorkPlanned, WorkReason, WorkRejected, WorkStruck, WorkVerified
from traveller.record.worklist import LineState, WorkLine
from traveller.vocabulary import Role

WORKERS = (Role.TECHNICIAN, Role.LEAD)


def references_in(text: str) -> list[str]:
    """``Q3, C17;C18`` as the places on the board that it names; none when nothing was typed."""
    return list(expanded(text)) if text.strip(" ,;") else []


def plan(
    view: UnitView,
    person: Person,
    references: Sequence[str],
    part: str,
    reason: WorkReason,
    matched_set: str = "",
    siblings: Sequence[str] = (),
) -> list[Proposed]:
    """Plan lines. `siblings` are the other members of the matched set: they are replaced with it."""
    need_open(view)
    need_role(person, "plan work", *WORKERS)
    lines = [(reference, reason) for reference in references]
    if matched_set:
        known = [line.reference for line in view.unit.work.values() if line.matched_set == matched_set]
        planned = {reference.upper() for reference in (*references, *known)}
        lines += [(one, "matched set") for one in siblings if one.upper() not in planned]
    if not lines:
        raise Refused("Name at least one part, for example Q3 or C17.")
    try:
        bodies = [
            WorkPlanned(reference=reference, part=part, reason=why, matched_set=matched_set) for reference, why in lines
        ]
    except ValidationError:
        raise InputError(
            "A reference is letters and a number as printed on the board, for example Q3 or C17, and the part "
            "needs a name, for example IGBT module."
        ) from None
    for body in bodies:
        line = view.unit.work.get(body.reference)
        if line and not line.gives_way_to(body.action):
            raise Refused(f"{body.reference} is on the work list already ({line.says}).")
    return [Proposed(body) for body in bodies]


def _need_line(view: UnitView, reference: str, *states: LineState) -> WorkLine:
    need_open(view)
    line = view.unit.work.get(reference.strip().upper())
    if line is None:
        known = ", ".join(view.unit.work) or "it is empty"
        raise Refused(f"{reference} is not on the work list ({known}): plan it first.")
    if line.state not in states:
        wanted = " or ".join(states)
        raise Refused(f"{line.reference} is {line.says}; only a line that is {wanted} can be taken here.")
    return line


def fit(view: UnitView, person: Person, reference: str, fitted: str, lot: str = "") -> list[Proposed]:
    """A part is in. Fitting again after it was fitted or verified is new work."""
    line = _need_line(view, reference, LineState.PLANNED, LineState.FITTED, LineState.VERIFIED)
    need_role(person, "fit parts", *WORKERS)
    words = need_words(fitted, "which part was fitted", most=120)
    return [Proposed(WorkFitted(reference=line.reference, fitted=words, lot=lot.strip()))]


def verify(view: UnitView, person: Person, reference: str) -> list[Proposed]:
    line = _need_line(view, reference, LineState.FITTED)
    need_role(person, "verify work", Role.INSPECTOR, Role.LEAD)
    if line.fitted_by == person.tag:
        raise Refused(f"{person.name} fitted {line.reference}: somebody else has to verify it.")
    return [Proposed(WorkVerified(reference=line.reference))]


def reject(view: UnitView, person: Person, reference: str, why: str) -> list[Proposed]:
    line = _need_line(view, reference, LineState.FITTED, LineState.VERIFIED)
    need_role(person, "reject work", Role.INSPECTOR, Role.LEAD, Role.TECHNICIAN)
    return [Proposed(WorkRejected(reference=line.reference, why=need_words(why, "what is wrong with it")))]


def strike(view: UnitView, person: Person, reference: str, why: str) -> list[Proposed]:
    line = _need_line(view, reference, LineState.PLANNED)
    need_role(person, "strike a work line", Role.LEAD)
    return [Proposed(WorkStruck(reference=line.reference, why=need_words(why, "why it is not replaced")))]
