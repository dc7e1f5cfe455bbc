"""The readings of like devices side by side: what stands in the table, and which device its rows point at."""

from __future__ import annotations

import re
import statistics
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cache
from importlib.resources import files
from uuid import UUID

from traveller.judgement import Finding
from traveller.quantities import Quantity
from traveller.record.entries import Entry
from traveller.record.facts import Disturbance
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.sibling_entries import SiblingsMeasured
from traveller.vocabulary import Plain

JUDGE = "diagnosis.odd_one_out"
ODD = "◆"


class Usual(Plain):
    """A tolerance in % for rows whose name holds one of the words."""

    words: tuple[str, ...]
    percent: float
    source: str


@cache
def _usual() -> tuple[Usual, ...]:
    text = files("traveller.record").joinpath("usual_tolerances.toml").read_text(encoding="utf-8")
    return tuple(Usual.model_validate(one) for one in tomllib.loads(text)["usual"])


def usual_tolerance(row: str) -> Usual:
    """The tolerance that is usual for a row of this name, from the data file beside this one."""
    name = row.casefold()
    return next(one for one in _usual() if not one.words or any(word in name for word in one.words))


@dataclass(frozen=True)
class Row:
    """One measurement on every device of a set. `earlier` holds what it overtook, the latest first."""

    name: str
    unit: str
    readings: Mapping[str, Quantity]
    tolerance: float
    tolerance_source: str
    finding: Finding
    instruments: tuple[InstrumentUsed, ...]
    by: str
    at: datetime
    sequence: int
    entry: UUID
    earlier: tuple[Row, ...] = ()

    @property
    def devices(self) -> tuple[str, ...]:
        return tuple(self.readings)

    @property
    def suspect(self) -> str:
        """The device that the judge names; empty when it names none."""
        place = next((one.value for one in self.finding.values if one.name == "suspect"), None)
        if isinstance(place, float) and 1 <= place <= len(self.readings):
            return self.devices[int(place) - 1]
        return ""

    @property
    def median(self) -> float:
        return statistics.median(one.value for one in self.readings.values()) if self.readings else 0.0

    @property
    def says(self) -> str:
        return named(self.finding.says, self.devices)


def named(text: str, devices: Sequence[str]) -> str:
    """A sentence of the judge with "reading 4" put as the device that it stands for."""

    def device(found: re.Match[str]) -> str:
        place = int(found[1])
        return devices[place - 1] if 1 <= place <= len(devices) else found[0]

    return re.sub(r"\breading (\d{1,3})\b", device, text)


@dataclass(frozen=True)
class SiblingSet:
    """A set of like devices, with its rows in the order in which they were first measured."""

    name: str
    devices: tuple[str, ...]
    rows: Mapping[str, Row] = field(default_factory=dict)


Siblings = Mapping[str, SiblingSet]


def key_of(name: str) -> str:
    """Names of sets and rows are the same without regard to case and blanks."""
    return " ".join(name.split()).casefold()


def with_entry(sets: Siblings, entry: Entry, body: SiblingsMeasured) -> Siblings:
    """The sets after one row: the latest row of a name stands, the ones before it are kept behind it."""
    known = sets.get(key_of(body.set_name)) or SiblingSet(body.set_name, ())
    before = known.rows.get(key_of(body.row))
    row = Row(
        name=before.name if before else body.row,
        unit=body.unit,
        readings=dict(zip(body.devices, body.readings, strict=False)),
        tolerance=body.tolerance,
        tolerance_source=body.tolerance_source,
        finding=body.finding,
        instruments=body.instruments,
        by=entry.by,
        at=entry.at,
        sequence=entry.sequence,
        entry=entry.id,
        earlier=(replace(before, earlier=()), *before.earlier) if before else (),
    )
    devices = tuple(dict.fromkeys((*known.devices, *row.devices)))
    rows = {**known.rows, key_of(body.row): row}
    return {**sets, key_of(body.set_name): SiblingSet(known.name, devices, rows)}


def last_work(disturbances: Sequence[Disturbance]) -> Disturbance | None:
    """The latest work on the unit: what was measured before it says nothing of the unit as it is."""
    return next((one for one in reversed(disturbances) if "work" in one.events), None)


@dataclass(frozen=True)
class Suspicion:
    """What the rows of a set say together. `device` is empty when they name none, or more than one alike."""

    device: str
    rows: tuple[str, ...]
    counts: Mapping[str, int]
    says: str
    sign: str


def is_overtaken(row: Row, work: Disturbance | None) -> bool:
    return work is not None and work.sequence > row.sequence


def suspicion(table: SiblingSet, work: Disturbance | None = None) -> Suspicion:
    """The device that most rows name as the odd one out. Rows from before the latest `work` do not count."""
    rows = [row for row in table.rows.values() if not is_overtaken(row, work)]
    named_by = {device: [row.name for row in rows if row.suspect == device] for device in table.devices}
    counts = {device: len(names) for device, names in sorted(named_by.items()) if names}
    most = max(counts.values(), default=0)
    first = sorted(device for device, count in counts.items() if count == most)
    if not rows:
        says = f"nothing measured since {work.says}" if work and table.rows else "nothing measured yet"
        return Suspicion("", (), counts, says, "·")
    if not first:
        return Suspicion("", (), counts, *_nobody(rows))
    of = f"{most} of {len(rows)} row{'' if len(rows) == 1 else 's'}"
    if len(first) > 1:
        says = f"{' and '.join(first)} are each the odd one out in {of}: measure again"
        return Suspicion("", (), counts, says, "?")
    names = tuple(named_by[first[0]])
    says = f"{first[0]} is the odd one out in {of} ({', '.join(names)})"
    others = [f"{device} in {', '.join(named_by[device])}" for device in counts if device != first[0]]
    return Suspicion(first[0], names, counts, says + (f"; {'; '.join(others)}" if others else ""), ODD)


def _nobody(rows: Sequence[Row]) -> tuple[str, str]:
    """(says, sign) where no row names a device."""
    unlike = [row.name for row in rows if row.finding.verdict != "pass"]
    if unlike:
        return f"no device can be named: look at {', '.join(unlike)}", "?"
    return f"no odd one out in {len(rows)} row{'' if len(rows) == 1 else 's'}", "✓"
