"""The sections of the report that are tables: findings, parts, measurements, instruments, checklists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import get_args

from reportlab.platypus import Flowable, Spacer

from traveller.documents.boxes import boxed
from traveller.documents.enclosed import Enclosed, worded
from traveller.documents.page import CELL, SMALL, STRONG, Row, Sheet
from traveller.record.report import Measurement, Observation, Part, Report
from traveller.record.work_entries import WorkReason

WORKING_LINES = 3


def fault(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    """What the customer reported, and how the unit came."""
    found = [*sheet.heading("fault"), sheet.say(report.fault)]
    return found + _observations("condition", report.condition, sheet)


def findings(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    """What the search found, and why it failed."""
    return _observations("findings", report.findings, sheet) + _causes(report, sheet)


def _causes(report: Report, sheet: Sheet) -> list[Flowable]:
    if not report.cause:
        return []
    lines: list[Flowable] = sheet.heading("cause")
    for one in report.cause:
        lines += [sheet.say(f"{worded('cause', one.ask, sheet)}: {one.found}"), sheet.say(f"{one.by}, {one.on}", SMALL)]
    return lines


def _observations(key: str, seen: Sequence[Observation], sheet: Sheet) -> list[Flowable]:
    if not seen:
        return []
    rows = [(one.ask, one.found, str(one.on), one.by) for one in seen]
    return [*sheet.heading(key), sheet.table(("question", "found", "on", "by"), rows, (60, 74, 18, 28))]


def concessions(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    """Each concession in a frame, with the customer's word."""
    if not report.concessions:
        return []
    lines: list[Flowable] = sheet.heading("concessions")
    for one in report.concessions:
        word = f"{sheet.words('concession.customer')}: {one.customers_word}"
        granted = f"{one.why} ({sheet.words('concession.by')} {one.by})"
        lines += [boxed([sheet.say(f"§ {one.found}", STRONG), sheet.say(granted), sheet.say(word)], sheet.width)]
        lines.append(Spacer(0, 3))
    return lines


def parts(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    """Parts by the reason for which they were replaced."""
    if not report.parts:
        return []
    lines: list[Flowable] = sheet.heading("parts")
    for reason in get_args(WorkReason):
        if of_it := [one for one in report.parts if one.reason == reason]:
            title = f"{worded('reason', reason, sheet)} ({len(of_it)})"
            lines += [*sheet.group(title), _part_table(of_it, sheet)]
    return lines


def _part_table(parts: Sequence[Part], sheet: Sheet) -> Flowable:
    rows = [(one.place, _part_words(one), one.lot or "–", one.fitted_by, one.seen_by or "–") for one in parts]
    return sheet.table(("place", "part", "lot", "fitted_by", "seen_by"), rows, (18, 74, 26, 32, 30))


def _part_words(part: Part) -> str:
    return f"{part.part} ({part.matched_set})" if part.matched_set else part.part


def measurements(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    """Station by station: reading or result, limit, verdict, working."""
    if not report.measurements:
        return []
    numbers = {one.tag: number for number, one in enumerate(report.instruments, 1)}
    lines: list[Flowable] = sheet.heading("measurements")
    for station, of_it in groupby(report.measurements, key=lambda one: one.station):
        rows = [_measurement_row(one, numbers, sheet) for one in of_it]
        columns = ("question", "reading", "limit", "verdict", "instrument")
        lines += [*sheet.group(station), sheet.table(columns, rows, (52, 66, 33, 19, 10), ("instrument",))]
    return lines


def _measurement_row(one: Measurement, numbers: Mapping[str, int], sheet: Sheet) -> Row:
    sign = "§" if one.conceded else one.verdict.sign
    working = "; ".join(one.working[:WORKING_LINES])
    value: list[Flowable] = [sheet.say(one.value, CELL)]
    value += [sheet.say(working, SMALL)] if working else []
    used = ", ".join(str(numbers[tag]) for tag in one.instruments if tag in numbers)
    verdict = f"{sign} {worded('verdict', 'conceded' if one.conceded else one.verdict, sheet)}"
    return [one.ask, value, one.limit or "–", verdict, used or "–"]


def instruments(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    """Every instrument used, with the day until which it is calibrated."""
    if not report.instruments:
        return []
    rows = [
        (str(number), one.tag, one.instrument_class, one.name, str(one.calibration_due))
        for number, one in enumerate(report.instruments, 1)
    ]
    columns = ("number", "tag", "class", "name", "due")
    return [*sheet.heading("instruments"), sheet.table(columns, rows, (10, 26, 44, 70, 30))]


def methods(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    """The checklists with their editions, and who answered them."""
    if not report.methods:
        return []
    rows = [
        (one.station, one.edition, str(one.passed), str(one.not_applicable), ", ".join(one.by))
        for one in report.methods
    ]
    columns = ("station", "edition", "passed", "not_applicable", "by")
    standing = " ".join(sheet.words(f"head.{key}") for key in ("place", "sampling", "outside"))
    table = sheet.table(columns, rows, (36, 30, 16, 18, 80), ("passed", "not_applicable"))
    return [*sheet.heading("methods"), table, Spacer(0, 3), sheet.say(standing, SMALL)]


def deviations(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    """What was left out with a reason, or put right on the way."""
    if not report.deviations:
        return []
    rows = [(one.what, one.why, one.by) for one in report.deviations]
    return [*sheet.heading("deviations"), sheet.table(("what", "why", "by"), rows, (70, 80, 30))]
