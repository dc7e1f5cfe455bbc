"""Rows of siblings: measured side by side, and taken into the findings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from pydantic import ValidationError

from traveller.errors import InputError, Refused
from traveller.quantities import read_quantities, show
from traveller.record import siblings
from traveller.record.acts.answer import answer
from traveller.record.acts.remark import note
from traveller.record.acts.rights import Proposed, need_judge, need_may_measure, need_words
from traveller.record.answers import Answer, Calculated, ReadSideBySide
from traveller.record.forms import build
from traveller.record.shop import Person
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.sibling_entries import MOST_SIBLINGS, SiblingsMeasured
from traveller.record.view import UnitView
from traveller.sheets import Check, CheckKind

SIBLINGS_CHECK = "diagnosis.siblings"


def measure_siblings(
    view: UnitView,
    person: Person,
    set_name: str,
    devices: Sequence[str],
    row: str,
    unit: str,
    readings: str,
    tolerance: float | None = None,
    instruments: Sequence[InstrumentUsed] = (),
) -> list[Proposed]:
    """One row as typed, one value a device. `devices` may be left out once the set is known, `unit` once the row is."""
    need_may_measure(view, person, "measure siblings")
    set_name = need_words(set_name, "which set it is, for example power stage", most=120)
    row = need_words(row, "what was measured, for example diode C-E", most=120)
    known = view.unit.siblings.get(siblings.key_of(set_name))
    before = known.rows.get(siblings.key_of(row)) if known else None
    places = _devices(set_name, devices, known)
    unit = unit.strip() or (before.unit if before else "")
    if before and unit != before.unit:
        raise Refused(f"The row {before.name} is in {before.unit or 'bare numbers'}: give another row another name.")
    values = read_quantities(readings, unit, len(places))
    if any(one.bound in ("above", "below") for one in values):
        raise InputError("A bound (> or <) has no distance from the median: write the reading, or OL for over range.")
    usual = siblings.usual_tolerance(row)
    kept = before.tolerance if before and not before.tolerance_source else usual.percent
    percent = kept if tolerance is None else tolerance
    source = "" if tolerance is not None or percent != usual.percent else usual.source
    judge = need_judge(view, siblings.JUDGE)
    given = {"readings": tuple(one.value for one in values), "tolerance": percent}
    fields = {
        "set_name": set_name,
        "row": row,
        "unit": unit,
        "devices": tuple(places),
        "readings": values,
        "tolerance": percent,
        "tolerance_source": source,
        "instruments": tuple(instruments),
        "finding": judge.finding(build(judge.model, given)),
    }
    try:
        return [Proposed(SiblingsMeasured.model_validate(fields))]
    except ValidationError:
        raise InputError("A device is named as printed on the board, letters first, for example Q1 or U7.") from None


def _devices(set_name: str, devices: Sequence[str], known: siblings.SiblingSet | None) -> list[str]:
    named = [one.strip().upper() for one in devices if one.strip()] or list(known.devices if known else ())
    if not named:
        raise InputError(f"Name the devices of {set_name} in the order of the readings, for example Q1,Q2,Q3.")
    if twice := sorted({one for one in named if named.count(one) > 1}):
        raise InputError(f"{', '.join(twice)} stands twice among the devices: name each once.")
    if len(named) > MOST_SIBLINGS:
        raise InputError(f"A set has at most {MOST_SIBLINGS} devices: that is {len(named)}. Make two sets of it.")
    if known and set(named) != set(known.devices):
        raise Refused(f"The set {known.name} is {', '.join(known.devices)}: name these, or give another set a name.")
    return named


def _need_set(view: UnitView, set_name: str) -> siblings.SiblingSet:
    known = view.unit.siblings.get(siblings.key_of(set_name))
    if known is None:
        listed = ", ".join(one.name for one in view.unit.siblings.values()) or "none yet"
        raise Refused(f'There is no set "{set_name}" on this unit; there is {listed}.')
    return known


def siblings_into_findings(
    view: UnitView, person: Person, set_name: str, row_name: str, today: date | None = None
) -> list[Proposed]:
    """A row as the answer to the check that asks for it, and a note of what all rows of the set say."""
    table = _need_set(view, set_name)
    row = table.rows.get(siblings.key_of(row_name))
    if row is None:
        raise Refused(f'"{row_name}" was not measured on {table.name}; there is {", ".join(table.rows)}.')
    work = siblings.last_work(view.unit.disturbances)
    if work and siblings.is_overtaken(row, work):
        raise Refused(f"{work.says} after {row.name} was measured: measure it again.")
    says = siblings.suspicion(table, work).says
    read = ", ".join(f"{device} {show(one.value, one.unit)}" for device, one in row.readings.items())
    remarks = note(view, person, f"{table.name}: {says}. {row.name}: {read}")
    check = table_check(view, row)
    given: Answer = Calculated(inputs=_as_typed(row))
    if check:
        given = ReadSideBySide(columns=check.columns, readings=tuple(row.readings[one] for one in check.columns))
    check = check or view.book.check(SIBLINGS_CHECK)
    if check is None or not view.proof.is_asked(check):
        return remarks
    return [*answer(view, person, check.full_key, given, row.instruments, today=today), *remarks]


def _as_typed(row: siblings.Row) -> dict[str, str]:
    values = ("OL" if one.bound == "overrange" else repr(one.value) for one in row.readings.values())
    return {"readings": " ".join(values), "tolerance": repr(row.tolerance)}


def table_check(view: UnitView, row: siblings.Row) -> Check | None:
    """The check that asks for this very table: named as the row, same columns, same unit."""
    name = siblings.key_of(row.name.replace("_", " ").replace("-", " "))
    fits = (
        check
        for check in view.proof.asked()
        if check.kind is CheckKind.TABLE
        and check.key.replace("_", " ") == name
        and check.unit == row.unit
        and set(check.columns) == set(row.devices)
    )
    return next(fits, None)
