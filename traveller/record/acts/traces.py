"""Signature traces: taken at a node, and compared into the findings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from pydantic import ValidationError

from traveller.errors import InputError, Refused
from traveller.record import siblings, traces
from traveller.record.acts.answer import answer
from traveller.record.acts.remark import note
from traveller.record.acts.rights import Proposed, need_may_measure
from traveller.record.answers import Calculated
from traveller.record.shop import Person
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.sibling_entries import TraceRole, TraceTaken
from traveller.record.view import UnitView

TRACE_CHECK = "diagnosis.trace_distance"


def take_trace(
    view: UnitView,
    person: Person,
    node: str,
    role: TraceRole,
    points: traces.Points,
    file: str,
    sha256: str,
    instruments: Sequence[InstrumentUsed] = (),
    taken: int = 0,
) -> list[Proposed]:
    """A trace as the file holds it, thinned to the points that matter. One that the judge cannot read is refused.
    `taken` is how many points the file has, where they are thinned already."""
    need_may_measure(view, person, "record a trace")
    traces.judged(view.judges, {"reference": points, "suspect": points})
    try:
        body = TraceTaken(
            node=node,
            role=role,
            points=traces.thinned(points),
            taken=taken or len(points),
            file=file[:120],
            sha256=sha256,
            instruments=tuple(instruments),
        )
    except ValidationError:
        raise InputError(f'"{node}" is no name of a node: write for example U7.3, at most 24 characters.') from None
    return [Proposed(body)]


def trace_into_findings(
    view: UnitView, person: Person, node: str, elsewhere: Sequence[traces.Trace], today: date | None = None
) -> list[Proposed]:
    """The comparison of a node as the answer to the check that asks how far apart the two traces are."""
    found = view.unit.traces.get(node.strip().upper())
    if found is None:
        raise Refused(f"Nothing was traced at {node} on this unit: trace it first.")
    seen = traces.compared(view.unit.tag, found, elsewhere, view.judges)
    if seen.finding is None or seen.suspect is None or seen.reference is None:
        raise Refused(f"{found.node}: {seen.says}.")
    work = siblings.last_work(view.unit.disturbances)
    if work and work.sequence > seen.suspect.sequence:
        raise Refused(f"{work.says} after {found.node} was traced: trace it again.")
    inputs = {
        "reference": traces.as_typed(seen.reference.points),
        "suspect": traces.as_typed(seen.suspect.points),
        **({} if seen.learned.percent is None else {"limit_percent": repr(seen.learned.percent)}),
    }
    remarks = note(view, person, f"{found.node}: {seen.says}; {seen.learned.says}")
    check = view.book.check(TRACE_CHECK)
    if check is None or not view.proof.is_asked(check):
        return remarks
    return [*answer(view, person, TRACE_CHECK, Calculated(inputs=inputs), today=today), *remarks]
