"""One unit as everybody looks at it: its fold, its sheets, and what both together say."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from uuid import UUID

from traveller.book import Book
from traveller.record.answering import Judges
from traveller.record.entries import Entry
from traveller.record.evidence import Proof, Standing, State
from traveller.record.gate import Reason, blockers, gate
from traveller.record.matters import Matter, touches
from traveller.record.unit import Unit, fold
from traveller.sheets import Sheet


@dataclass(frozen=True)
class UnitView:
    """Immutable; a screen is handed one and paints it. `kept` are the entries that are kept at this terminal and
    not yet on the record."""

    unit: Unit
    book: Book
    judges: Judges
    entries: Sequence[Entry]
    kept: frozenset[UUID] = frozenset()

    @cached_property
    def proof(self) -> Proof:
        return Proof(self.unit, self.book)

    @cached_property
    def reasons(self) -> list[Reason]:
        """Why the unit may not leave the workshop; empty means that it may."""
        return gate(self.proof)

    @cached_property
    def blockers(self) -> list[Reason]:
        """Why the unit may not go on to the next station."""
        return [] if self.unit.release else blockers(self.proof)

    @cached_property
    def kept_about(self) -> frozenset[Matter]:
        """What the entries are about that are kept at this terminal and not yet on the record."""
        return frozenset(one for entry in self.entries if entry.id in self.kept for one in touches(entry.body))

    @property
    def sheet(self) -> Sheet | None:
        return self.book.sheet(self.unit.station)

    @property
    def next_sheet(self) -> Sheet | None:
        """Where the unit goes next: straight to the last station when it is not going to be repaired."""
        if self.sheet is None or self.sheet is self.book.last:
            return None
        return self.book.after(self.unit.station) if self.unit.outcome == "repair" else self.book.last

    def standings(self, station: str = "") -> list[Standing]:
        return self.proof.standings(station)

    def first_open(self, station: str) -> Standing | None:
        """The first check of a station that is still to be answered or put right."""
        todo = [one for one in self.standings(station) if not self.proof.is_settled(one)]
        needed = [one for one in todo if one.check.required or one.state is not State.OPEN]
        return next(iter(needed or todo), None)

    def next_step(self) -> str:
        """What to do next, in one line."""
        if self.unit.release:
            return "released: nothing is left to do"
        if self.sheet is None:
            return "book the unit in"
        if self.unit.hold:
            return f"on hold ({self.unit.hold.reason}): resume it when the reason is gone"
        first = self.first_open(self.unit.station)
        if first and (first.check.required or first.state is not State.OPEN):
            return f"{first.check.ask}"
        if self.blockers:
            return f"{self.blockers[0].says}: {self.blockers[0].todo}"
        if self.next_sheet:
            return f"all done here: move it on to {self.next_sheet.name}"
        return "release the unit" if not self.reasons else f"{self.reasons[0].says}: {self.reasons[0].todo}"


def view(tag: str, entries: Sequence[Entry], book: Book, judges: Judges) -> UnitView:
    return UnitView(fold(tag, entries), book, judges, tuple(entries))
