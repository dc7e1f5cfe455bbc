"""The lines of a record as they are shown: pieces of samples that follow on each other stand together."""

from __future__ import annotations

from collections.abc import Iterable

from traveller.record.entries import Entry
from traveller.record.run_entries import SamplesKept
from traveller.record.saying import BY_KEY, Names

Group = tuple[Entry, ...]


def grouped(entries: Iterable[Entry]) -> list[Group]:
    """The entries in their order, each alone, but pieces of samples that follow on each other taken together.

    Only pieces of one run by one person at one terminal in which nothing was wrong: a piece with a fault, or one
    that says more than its samples, stands alone.
    """
    found: list[Group] = []
    for entry in entries:
        if found and _goes_with(found[-1][-1], entry):
            found[-1] = (*found[-1], entry)
        else:
            found.append((entry,))
    return found


def _goes_with(one: Entry, other: Entry) -> bool:
    if not isinstance(one.body, SamplesKept) or not isinstance(other.body, SamplesKept):
        return False
    plain = not any(e.corrects or e.because or e.shared for e in (one, other))
    same = (one.body.run, one.by, one.terminal) == (other.body.run, other.by, other.terminal)
    return plain and same and not one.body.faults and not other.body.faults


def said_together(group: Group, names: Names = BY_KEY) -> str:
    """``288 pieces of samples, 02:00 to 02:24``, and which lines they are."""
    bodies = [one.body for one in group if isinstance(one.body, SamplesKept)]
    begins, ends = min(one.begins for one in bodies), max(one.ends for one in bodies)
    form = "%H:%M" if begins.date() == ends.date() else "%Y-%m-%d %H:%M"
    lines = sorted(one.sequence for one in group)
    return (
        f"{len(group)} pieces of samples, {names.moments(form, begins, ends)}, "
        f"{sum(one.count for one in bodies)} samples, lines {lines[0]} to {lines[-1]}"
    )
