"""The report of a unit as plain data: what is printed, and what is compared when a paper is verified.

Only facts stand here, none of the fixed words of the paper: those come from the catalogue of its language. The
same record always gives the same report. What it has to hold: ISO/IEC 17025 7.8.2.1, items a to p.
"""

from __future__ import annotations

import hashlib
from datetime import date, datetime

from traveller.judgement import Verdict
from traveller.record.entries import Outcome
from traveller.record.heat_runs.curve import RunCurve
from traveller.record.thermal_entries import ThermalTaken
from traveller.record.work_entries import WorkReason
from traveller.vocabulary import Plain, UnitKind

FORM = 3
"""Raised when a report of the same record would come out with other facts: an older paper is then told apart."""


class Figure(Plain):
    """A rating on the nameplate, in its plain SI unit."""

    name: str
    value: float
    unit: str


class Plate(Plain):
    kind: UnitKind
    maker: str
    model: str
    serial: str
    ratings: tuple[Figure, ...] = ()


class Observation(Plain):
    """A question of a checklist and what was found; `by` is a name."""

    ask: str
    found: str
    on: date
    by: str


class Part(Plain):
    place: str
    part: str
    lot: str
    reason: WorkReason
    matched_set: str
    fitted_by: str
    seen_by: str


class Measurement(Plain):
    """`instruments` are tags; the instruments themselves stand in the report once."""

    station: str
    ask: str
    value: str
    limit: str
    verdict: Verdict
    conceded: bool
    working: tuple[str, ...]
    source: str
    on: date
    instruments: tuple[str, ...]


class Instrument(Plain):
    """As it was at the last reading that it was used for."""

    tag: str
    name: str
    instrument_class: str
    calibration_due: date


class Photo(Plain):
    picture: str
    caption: str


class Method(Plain):
    """A checklist: which edition the unit was worked by, what came of it, and who answered."""

    station: str
    edition: str
    passed: int
    not_applicable: int
    by: tuple[str, ...]


class Deviation(Plain):
    """Left out with a reason, or put right after it was found: additions to, and departures from the method."""

    what: str
    why: str
    by: str


class Concession(Plain):
    found: str
    why: str
    customers_word: str
    by: str


class Warranty(Plain):
    until: date
    months: int
    working: tuple[str, ...]


class Release(Plain):
    """`seal` is the digest that closes the chain of the traveller's entries."""

    statement: str
    by: str
    at: datetime
    seal: str


class People(Plain):
    worked: tuple[str, ...]
    inspected: tuple[str, ...]


class Report(Plain):
    """`release` is None while the unit is not released: the paper is a draft and says so. Days are the shop's.

    `contact` is the address that the unit was packed for, line by line; empty until then.
    """

    form: int = FORM
    tag: str
    shop: str
    address: str
    customer: str
    contact: tuple[str, ...]
    order: str
    plate: Plate
    outcome: Outcome
    received: date
    worked_from: date
    worked_to: date
    issued: date
    fault: str
    condition: tuple[Observation, ...]
    findings: tuple[Observation, ...]
    cause: tuple[Observation, ...]
    parts: tuple[Part, ...]
    measurements: tuple[Measurement, ...]
    instruments: tuple[Instrument, ...]
    run: RunCurve | None
    thermal: tuple[ThermalTaken, ...]
    photos: tuple[Photo, ...]
    methods: tuple[Method, ...]
    deviations: tuple[Deviation, ...]
    concessions: tuple[Concession, ...]
    people: People
    cautions: tuple[str, ...]
    warranty: Warranty | None
    release: Release | None
    still_open: int

    @property
    def draft(self) -> bool:
        return self.release is None

    @property
    def identity(self) -> str:
        """What stands on every page: the tag, and of a released unit the first digits of its seal."""
        return f"{self.tag}-{self.release.seal[:12].upper()}" if self.release else self.tag


def digest_of(facts: str) -> str:
    """SHA-256 of canonical JSON, in hexadecimal."""
    return hashlib.sha256(facts.encode()).hexdigest()
