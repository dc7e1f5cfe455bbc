"""A matter: one thing about a unit, or about the shop, that whoever comes next has to know.

A matter says nothing of the moment at which it is read. So the matters of a unit are worked out when
something is entered on it, kept with its card, and read from there.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from functools import lru_cache
from typing import Any

from traveller.record.handover_entries import Risk

EDITION = 5
"""Raised when a source is added or says something else, so that kept matters are worked out anew."""

PART_WAY = "part-way"
"""What a matter of begun work refers to when some lines of the work list are fitted and others are not."""


class Section(StrEnum):
    """The headings of the brief, in their order."""

    DANGER = "dangerous now"
    RUNNING = "running now"
    DUE = "falls due in this shift"
    ITEM = "handed over, not accepted"
    CHANGED = "changed since you were last here"
    HELD = "held, and why"
    QUESTION = "open questions"
    NOTE = "notes"
    BAD = "sent back and failed"
    BEGUN = "begun and not finished"

    @property
    def rank(self) -> int:
        return _RANKS[self]


_RANKS = {section: number for number, section in enumerate(Section, 1)}


@dataclass(frozen=True, slots=True)
class Matter:
    """`by` and `at`: who entered it and when. `day` or `due`: when somebody has to see to it.

    `refers` is the entry that it comes from, or the number of an item. `for_whom` and `seen` belong to notes.
    `risk` is set when the matter is proposed for the handing over. `unit` is set on a matter of the shop that is
    about one unit, `station` on one that is about several units there; neither is kept with a card.
    """

    section: Section
    says: str
    by: str = ""
    at: datetime | None = None
    day: date | None = None
    due: datetime | None = None
    refers: str = ""
    risk: Risk | None = None
    for_whom: tuple[str, ...] = ()
    seen: tuple[str, ...] = ()
    unit: str = ""
    station: str = ""


def as_text(matters: Iterable[Matter]) -> str:
    """The matters as JSON; what is empty is left out."""
    return json.dumps([_row(one) for one in matters], ensure_ascii=False, separators=(",", ":"))


def _row(matter: Matter) -> dict[str, Any]:
    row = {
        "section": str(matter.section),
        "says": matter.says,
        "by": matter.by,
        "at": matter.at.isoformat() if matter.at else "",
        "day": matter.day.isoformat() if matter.day else "",
        "due": matter.due.isoformat() if matter.due else "",
        "refers": matter.refers,
        "risk": str(matter.risk or ""),
        "for_whom": list(matter.for_whom),
        "seen": list(matter.seen),
    }
    return {name: value for name, value in row.items() if value}


_SECTIONS = {str(one): one for one in Section}
_RISKS = {str(one): one for one in Risk}


@lru_cache(maxsize=1024)
def from_text(text: str) -> Sequence[Matter]:
    """What `as_text` wrote. Most cards are the same at the next look."""
    return tuple([_matter(row) for row in json.loads(text)]) if text else ()


def _matter(row: dict[str, Any]) -> Matter:
    at, day, due, risk = row.get("at"), row.get("day"), row.get("due"), row.get("risk")
    return Matter(
        _SECTIONS[row["section"]],
        row["says"],
        row.get("by", ""),
        datetime.fromisoformat(at) if at else None,
        date.fromisoformat(day) if day else None,
        datetime.fromisoformat(due) if due else None,
        row.get("refers", ""),
        _RISKS[risk] if risk else None,
        tuple(row.get("for_whom", ())),
        tuple(row.get("seen", ())),
    )
