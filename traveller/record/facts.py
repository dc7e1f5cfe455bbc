"""The facts that a unit's record adds up to: evidence, hazards, holds, nonconformities, questions."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal
from uuid import UUID

from traveller.judgement import Finding
from traveller.record.answers import Answer
from traveller.record.entries import Outcome
from traveller.record.shop_entries import InstrumentUsed
from traveller.vocabulary import HazardKind


@dataclass(frozen=True)
class Evidence:
    """One answer with its finding. `stands_at` is the place in the record at which the answer was true, `measured`
    the moment and `day` the day in the shop's zone (in UTC where the entry does not say it).

    A correction stands where the corrected answer stood, so mending a slip of the pen never makes old proof
    new; `finding` is None when the answer was withdrawn.
    """

    entry: UUID
    check: str
    station: str
    edition: str
    asks: str
    answer: Answer | None
    finding: Finding | None
    instruments: tuple[InstrumentUsed, ...]
    by: str
    at: datetime
    sequence: int
    stands_at: int
    measured: datetime
    day: date


@dataclass(frozen=True)
class Disturbance:
    """Something after which older proof may no longer count; `events` are the words of `stale_after`.

    `check` is the key of the check that it happened to, if it was one.
    """

    events: tuple[str, ...]
    sequence: int
    says: str
    at: datetime
    check: str = ""


@dataclass(frozen=True)
class Hazard:
    """`check` is the key of the check whose answer raised it; empty when somebody raised it by hand."""

    kind: HazardKind
    detail: str
    by: str
    since: datetime
    check: str = ""


@dataclass(frozen=True)
class Hold:
    reason: str
    look_again: date
    by: str
    since: datetime


@dataclass(frozen=True)
class Nonconformity:
    id: UUID
    found: str
    check: str
    station: str
    by: str
    at: datetime
    state: Literal["open", "closed", "conceded"] = "open"
    ended_by: str = ""
    ended_how: str = ""
    customers_word: str = ""
    covers: UUID | None = None


@dataclass(frozen=True)
class Question:
    id: UUID
    text: str
    to: str
    by: str
    at: datetime
    reply: str = ""
    replied_by: str = ""


@dataclass(frozen=True)
class Release:
    by: str
    at: datetime
    statement: str
    outcome: Outcome
    digest: str
