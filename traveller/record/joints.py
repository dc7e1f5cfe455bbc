"""The count of joints and defects, and what is not seen yet."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from traveller.book import Book
from traveller.record.entries import Entry
from traveller.record.inspection_entries import COUNTED, JointClass, JointsSeen, classes_of
from traveller.record.worklist import LineState, WorkLine

if TYPE_CHECKING:
    from traveller.record.evidence import Proof

DEFECTS = "inspection.defects"
"""The check whose answer is the sum of the counts, where the workshop's sheets ask it."""


@dataclass(frozen=True)
class Count:
    """One class of joints as somebody saw it."""

    seen: JointsSeen
    by: str
    at: datetime
    sequence: int

    def in_words(self) -> str:
        if self.seen.how not in COUNTED:
            return self.seen.how
        found = "; ".join(f"{one.place} {one.what}" for one in self.seen.defects)
        count = f"{len(self.seen.defects)} in {self.seen.opportunities}, {self.seen.how}"
        return f"{count}: {found}" if found else count


Counts = dict[JointClass, Count]


def with_entry(counts: Counts, entry: Entry, body: JointsSeen) -> Counts:
    """The latest count of a class is the one that stands."""
    return {**counts, body.joint_class: Count(body, entry.by, entry.at, entry.sequence)}


def stale_after(book: Book) -> set[str]:
    """What overtakes a count."""
    check = book.check(DEFECTS)
    return set(book.stale_after(check)) if check else {"work", "sent_back"}


def standing_counts(proof: Proof) -> Counts:
    """The counts that nothing has overtaken: what makes the answer of the check stale makes them stale too."""
    events = stale_after(proof.book)
    overtaken = max((one.sequence for one in proof.unit.disturbances if events & set(one.events)), default=0)
    return {one: count for one, count in proof.unit.joints.items() if count.sequence > overtaken}


def classes_left(proof: Proof) -> list[JointClass]:
    """The classes of this kind of unit that nobody has looked at since the last work."""
    plate, counts = proof.unit.nameplate, standing_counts(proof)
    return [one for one in classes_of(plate.unit_kind) if one not in counts] if plate else []


def lines_left(proof: Proof) -> list[WorkLine]:
    """The work lines that are fitted and that nobody else has verified."""
    return [line for line in proof.unit.work.values() if line.state is LineState.FITTED]


def sums(counts: Counts) -> tuple[int, int]:
    """(defects, opportunities) over all classes."""
    seen = [count.seen for count in counts.values()]
    return sum(len(one.defects) for one in seen), sum(one.opportunities for one in seen)
