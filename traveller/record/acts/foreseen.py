"""The unit as it will be once proposed entries are entered: what one of them says, the next may need."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from uuid import UUID

from traveller.record.acts.rights import Proposed
from traveller.record.entries import Entry
from traveller.record.shop import Person
from traveller.record.view import UnitView
from traveller.record.view import view as view_of


def foreseen(view: UnitView, person: Person, proposed: Sequence[Proposed]) -> UnitView:
    """A view to decide by and to throw away: its further entries have neither their identity nor their time."""
    at = view.unit.last_at or datetime.now(UTC)
    entries = [
        Entry(
            id=UUID(int=number),
            subject=view.unit.tag,
            sequence=view.unit.sequence + number,
            at=at,
            by=person.tag,
            terminal="proposed",
            body=one.body,
        )
        for number, one in enumerate(proposed, 1)
    ]
    return view_of(view.unit.tag, [*view.entries, *entries], view.book, view.judges)
