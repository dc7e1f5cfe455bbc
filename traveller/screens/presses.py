"""Runs that were pressed at this terminal and are not entered yet. They belong to the terminal, not to a page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from functools import partial
from typing import TYPE_CHECKING

from traveller.counting import many
from traveller.errors import InputError, TravellerError

if TYPE_CHECKING:
    from traveller.record.view import UnitView
    from traveller.screens.app import TravellerApp

CLEAN, FAILED = ".", "x"
MOST = 20
"""Presses that go into one entry."""


@dataclass
class Batch:
    """What one person pressed in a row. Once closed it is entered as it is."""

    by: str
    first: datetime
    last: datetime
    marks: str = ""
    closed: bool = False

    @property
    def failures(self) -> int:
        return self.marks.count(FAILED)

    @property
    def clean_since(self) -> int:
        return len(self.marks) - len(self.marks.rstrip(CLEAN))


@dataclass
class Presses:
    """Batches in order; while `flying` the first of them is on its way into the record."""

    batches: list[Batch] = field(default_factory=list)
    flying: bool = False

    def press(self, by: str, failed: bool, at: datetime) -> None:
        """A failure closes its batch, so does the twentieth press, so does another person."""
        if not self.batches or self.batches[-1].closed or self.batches[-1].by != by:
            self.close()
            self.batches.append(Batch(by, at, at))
        batch = self.batches[-1]
        batch.marks += FAILED if failed else CLEAN
        batch.last = at
        batch.closed = failed or len(batch.marks) >= MOST

    def close(self) -> None:
        if self.batches:
            self.batches[-1].closed = True

    def take_back(self) -> bool:
        """Whether the last press was still here and is gone."""
        if not self.batches or (self.flying and len(self.batches) == 1):
            return False
        batch = self.batches[-1]
        batch.marks = batch.marks[:-1]
        batch.closed = False
        if not batch.marks:
            self.batches.pop()
        return True

    def to_enter(self) -> Batch | None:
        """The batch that is to be entered now, if any."""
        return self.batches[0] if self.batches and self.batches[0].closed and not self.flying else None

    @property
    def waiting(self) -> int:
        return sum(len(one.marks) for one in self.batches)


def enter(terminal: TravellerApp, tag: str, test: str, done: Callable[[UnitView], None]) -> None:
    """Send the closed batches of a test into the record, one behind the other; what is refused stays here.

    `done` comes last: the page it paints may be gone, the batches have to go on all the same.
    """
    presses = terminal.presses[tag, test]
    batch = presses.to_enter()
    if batch is None:
        return
    presses.flying = True

    def entered(view: UnitView) -> None:
        presses.flying = False
        presses.batches.pop(0)
        enter(terminal, tag, test, done)
        done(view)

    def not_entered(error: TravellerError) -> None:
        presses.flying = False
        terminal.refuse(InputError(f"{error} Kept at this terminal: {many(presses.waiting, 'run')} of {test}."))

    counted = (len(batch.marks), batch.failures, batch.clean_since, batch.first, batch.last)
    terminal.errand(partial(terminal.workshop.measuring.runs, tag, batch.by, test, *counted), entered, not_entered)
