"""The report of a unit on paper: one small function a section, each laid out from plain facts."""

from __future__ import annotations

from collections.abc import Callable

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, KeepTogether, Spacer

from traveller.documents.boxes import beside, boxed, rule
from traveller.documents.drawn import Code
from traveller.documents.enclosed import Enclosed, Paperwork, worded
from traveller.documents.letterhead import finished, letterhead
from traveller.documents.page import BODY, HEAD, SMALL, STRONG, Paper, Sheet
from traveller.documents.report_pictures import photos, run, thermal
from traveller.documents.report_tables import (
    concessions,
    deviations,
    fault,
    findings,
    instruments,
    measurements,
    methods,
    parts,
)
from traveller.quantities import show
from traveller.record.report import Report


def typeset_report(report: Report, enclosed: Enclosed, language: str = "en", paper: Paper = "a4") -> Paperwork:
    """The report as PDF. The same facts always give the same bytes."""
    sheet = Sheet(language, paper)
    words = sheet.words
    story = [one for section in SECTIONS for one in section(report, enclosed, sheet)]
    if sheet.letters.missing:
        story.insert(-2, sheet.say(words("paper.missing_letters"), SMALL))
    foot = f"{words('paper.only_this')} {words('paper.whole')}"
    return finished(_title(report, sheet), foot, story, report, sheet)


def _title(report: Report, sheet: Sheet) -> str:
    return sheet.words("paper.title" if report.outcome == "repair" else "paper.title_unrepaired")


def _head(report: Report, enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    return [letterhead(_title(report, sheet), report, enclosed.tag_code, sheet), Spacer(0, 4)]


def _unit(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    words, plate = sheet.words, report.plate
    rated = ", ".join(f"{words(f'rating.{one.name}')} {show(one.value, one.unit)}" for one in plate.ratings)
    unit = [
        (words("head.kind"), words(f"kind.{plate.kind}")),
        (words("head.maker"), plate.maker),
        (words("head.model"), plate.model),
        (words("head.serial"), plate.serial),
        (words("head.ratings"), rated or "–"),
    ]
    worked = f"{report.worked_from} – {report.worked_to}"
    job = [
        (words("head.customer"), "\n".join((report.customer, *report.contact))),
        (words("head.order"), report.order or "–"),
        (words("head.received"), str(report.received)),
        (words("head.worked"), worked if report.worked_from != report.worked_to else str(report.worked_to)),
        (words("head.issued"), str(report.issued)),
        (words("paper.identity"), report.identity),
    ]
    half = sheet.width / 2
    return [rule(), beside([sheet.facts(job, half)], [sheet.facts(unit, half)], half, half), rule()]


def _verdict(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    """The release in one box: what a reader looks for first."""
    words = sheet.words
    outcome = worded("outcome", report.outcome, sheet)
    if report.release is None:
        said = f"{words('paper.draft')}: {words('people.unsigned', count=report.still_open)}"
        lines = [sheet.say(said, STRONG)]
    else:
        lines = [
            sheet.say(f"✓ {outcome}: {words('people.released').lower()} {report.release.by}, {report.issued}", STRONG),
            sheet.say(report.release.statement, BODY),
        ]
    lines.append(sheet.say(_warranty_words(report, sheet), BODY))
    return [Spacer(0, 6), boxed(lines, sheet.width)]


def _warranty_words(report: Report, sheet: Sheet) -> str:
    words = sheet.words
    label = words("heading.warranty")
    if report.outcome != "repair":
        return words("warranty.none")
    if report.warranty is None:
        return f"{label}: {words('warranty.draft' if report.draft else 'warranty.agreed')}"
    runs = words("warranty.runs", months=report.warranty.months, until=report.warranty.until)
    return f"{label}: {runs} {words('warranty.working', working='; '.join(report.warranty.working))}"


def _cautions(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    lines = [sheet.say(f"! {sheet.words(f'caution.{one}')}", BODY) for one in report.cautions]
    return [KeepTogether([sheet.kept_heading("cautions"), boxed(lines, sheet.width)])]


def _people(report: Report, enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    words, people = sheet.words, report.people
    nobody = words("people.nobody")
    rows = [
        (words("people.worked"), ", ".join(people.worked) or nobody),
        (words("people.inspected"), ", ".join(people.inspected) or nobody),
    ]
    if report.release:
        rows.append((words("people.released"), f"{report.release.by}, {report.issued}"))
        rows.append((words("people.statement"), report.release.statement))
    else:
        rows.append((words("people.released"), words("people.unsigned", count=report.still_open)))
    signed = [sheet.kept_heading("people"), sheet.facts(rows, sheet.width, 0.18)]
    return [KeepTogether([*signed, *_proof(report, enclosed, sheet)])]


def _proof(report: Report, enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    if report.release is None or enclosed.seal_code is None:
        return []
    words, side = sheet.words, 30 * mm
    rows = [
        (words("proof.tag"), report.tag),
        (words("proof.seal"), report.release.seal),
        (words("proof.facts"), enclosed.facts_digest),
    ]
    wide = sheet.width - side
    said = [sheet.say(words("proof.says", shop=report.shop), SMALL), sheet.facts(rows, wide, 0.2)]
    return [sheet.kept_heading("proof"), beside([Code(enclosed.seal_code, side)], said, side, wide)]


def _end(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    recorded = sheet.words("paper.recorded")
    notes: list[Flowable] = [sheet.say(recorded, SMALL)] if recorded else []
    end = sheet.words("paper.end", identity=report.identity)
    return [*notes, Spacer(0, 8), rule(), sheet.say(end, HEAD)]


Section = Callable[[Report, Enclosed, Sheet], list[Flowable]]
SECTIONS: tuple[Section, ...] = (
    _head,
    _unit,
    _verdict,
    fault,
    findings,
    concessions,
    parts,
    measurements,
    run,
    thermal,
    photos,
    instruments,
    methods,
    deviations,
    _cautions,
    _people,
    _end,
)
"""In the order of the paper. A further section is a further function in this list."""
