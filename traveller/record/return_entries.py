"""The kind of entry about a unit that came back: its earlier traveller, the warranty, the same fault or another."""

from __future__ import annotations

from datetime import date
from typing import Literal

from traveller.vocabulary import Plain, Words

FaultAgain = Literal["same", "other", "not known"]


class Returned(Plain):
    """`seal` is that of the earlier traveller; `until` the last day of its warranty, None if it had none.

    The later of two entries counts: what was not known at goods-in is known after diagnosis.
    """

    kind: Literal["returned"] = "returned"
    earlier: str
    seal: str
    released_on: date
    fault: FaultAgain
    covered: bool
    until: date | None = None
    reason: Words

    def in_words(self) -> str:
        if self.until is None:
            return "no warranty: it had not been repaired"
        return f"{'under' if self.covered else 'after'} warranty, which ran until {self.until}"
