"""The papers that travel with a unit: packing list, customs lines, warranty."""

from __future__ import annotations

from decimal import Decimal
from itertools import groupby

from reportlab.platypus import Flowable, Spacer

from traveller.documents.boxes import beside, boxed, rule
from traveller.documents.drawn import Modules
from traveller.documents.enclosed import Paperwork
from traveller.documents.letterhead import finished, letterhead, unit_words
from traveller.documents.page import BODY, SMALL, STRONG, Paper, Sheet
from traveller.quantities import show
from traveller.record.carriage import Consignment
from traveller.record.report import Report


def packing_list(consignment: Consignment, code: Modules, language: str = "en", paper: Paper = "a4") -> Paperwork:
    """What lies in which package, how heavy, how protected, and what was declared."""
    sheet = Sheet(language, paper)
    words, packed, report = sheet.words, consignment.packed, consignment.report
    story = [*_head("packing", report, code, sheet), *_parties(consignment, sheet)]
    story += [*sheet.heading("packages"), _packages(consignment, sheet)]
    contents = [
        (words("carriage.unit"), f"{words(f'kind.{report.plate.kind}')} {unit_words(report)}"),
        (words("carriage.accessories"), consignment.accessories or "–"),
        (words("carriage.packed_in"), words(f"packed_in.{_key(packed.packed_in)}")),
        (words("carriage.shielded"), words("carriage.yes" if packed.shielded else "carriage.no")),
        (words("carriage.wood"), words(f"wood.{_key(packed.wood)}")),
        (words("carriage.packed"), f"{consignment.packed_on}, {consignment.packed_by}"),
    ]
    story += [*sheet.heading("contents"), sheet.facts(contents, sheet.width, 0.24), *_lithium(consignment, sheet)]
    return _done("packing", story, report, sheet)


def customs_paper(consignment: Consignment, code: Modules, language: str = "en", paper: Paper = "a4") -> Paperwork:
    """The customs lines of a consignment abroad; the code of the tariff is as the clerk typed it."""
    sheet = Sheet(language, paper)
    words, report = sheet.words, consignment.report
    columns = ("description", "tariff", "origin", "goods_value", "repair_value", "currency")
    rows = [
        (one.description, one.tariff, one.origin, f"{one.goods_value:,.2f}", f"{one.repair_value:,.2f}", one.currency)
        for one in consignment.packed.customs
    ]
    story = [*_head("customs", report, code, sheet), *_parties(consignment, sheet)]
    story += [*sheet.heading("customs_lines"), sheet.say(words("carriage.reason"), BODY)]
    story.append(sheet.table(columns, rows, (66, 28, 16, 26, 26, 18), ("goods_value", "repair_value")))
    story += [Spacer(0, 4), *(sheet.say(line, STRONG) for line in _totals(consignment, sheet))]
    weight = show(sum(one.weight_kg for one in consignment.packed.packages), "kg")
    story += [sheet.say(f"{words('carriage.gross')}: {weight}", BODY), Spacer(0, 6)]
    story.append(sheet.say(words("carriage.customs_caution"), SMALL))
    return _done("customs", story, report, sheet)


def warranty_paper(report: Report, code: Modules, language: str = "en", paper: Paper = "a4") -> Paperwork:
    """The warranty of a repaired unit on one page: what, until when, how it was worked out."""
    sheet = Sheet(language, paper)
    words = sheet.words
    story = _head("warranty", report, code, sheet)
    facts = [
        (words("head.customer"), report.customer),
        (words("head.order"), report.order or "–"),
        (words("carriage.unit"), f"{words(f'kind.{report.plate.kind}')} {unit_words(report)}"),
        (words("head.issued"), str(report.issued)),
        (words("paper.identity"), report.identity),
    ]
    story += [sheet.facts(facts, sheet.width, 0.2), Spacer(0, 8)]
    if report.warranty:
        runs = words("warranty.runs", months=report.warranty.months, until=report.warranty.until)
        working = words("warranty.working", working="; ".join(report.warranty.working))
        story.append(boxed([sheet.say(runs, STRONG), sheet.say(working, SMALL)], sheet.width))
    else:
        key = "warranty.draft" if report.draft else "warranty.agreed"
        story.append(boxed([sheet.say(words(key), STRONG)], sheet.width))
    story += [Spacer(0, 6), *(sheet.say(words(f"warranty.{one}"), BODY) for one in ("covers", "not", "claim"))]
    return _done("warranty", story, report, sheet)


def _head(kind: str, report: Report, code: Modules, sheet: Sheet) -> list[Flowable]:
    return [letterhead(sheet.words(f"title.{kind}"), report, code, sheet), rule()]


def _parties(consignment: Consignment, sheet: Sheet) -> list[Flowable]:
    words, packed, half = sheet.words, consignment.packed, sheet.width / 2
    to = [sheet.say(words("carriage.to"), SMALL), *(sheet.say(one, STRONG) for one in packed.addressee)]
    way = [
        (words("carriage.carrier"), packed.carrier),
        (words("carriage.consignment"), packed.consignment),
        (words("head.order"), consignment.report.order or "–"),
        (words("paper.identity"), consignment.report.identity),
    ]
    return [beside(to, [sheet.facts(way, half)], half, half), rule()]


def _packages(consignment: Consignment, sheet: Sheet) -> Flowable:
    packed = consignment.packed
    rows = []
    for number, one in enumerate(packed.packages, 1):
        sides = f"{one.length_cm:g} × {one.width_cm:g} × {one.height_cm:g}"
        finding = packed.charged[number - 1] if number <= len(packed.charged) else None
        values = {value.name: value.value for value in finding.values} if finding else {}
        weights = [
            f"{float(values[name]):.2f}" if name in values else "–" for name in ("volumetric_kg", "chargeable_kg")
        ]
        rows.append((f"{number} / {len(packed.packages)}", sides, f"{one.weight_kg:.2f}", *weights))
    columns = ("package", "sides", "weight", "volumetric", "charged")
    return sheet.table(columns, rows, (20, 50, 30, 30, 30), ("weight", "volumetric", "charged"))


def _lithium(consignment: Consignment, sheet: Sheet) -> list[Flowable]:
    found = consignment.lithium
    if found is None:
        return [*sheet.heading("lithium"), sheet.say(sheet.words("carriage.no_lithium"))]
    lines = [sheet.say(f"{found.verdict.sign} {found.says}", STRONG), sheet.say("; ".join(found.working), SMALL)]
    lines.append(sheet.say(sheet.words("carriage.lithium_caution"), BODY))
    return [*sheet.heading("lithium"), boxed(lines, sheet.width)]


def _totals(consignment: Consignment, sheet: Sheet) -> list[str]:
    lines = sorted(consignment.packed.customs, key=lambda one: one.currency)
    totals = []
    for currency, group in groupby(lines, key=lambda one: one.currency):
        of_it = list(group)
        goods = sum((one.goods_value for one in of_it), Decimal(0))
        repair = sum((one.repair_value for one in of_it), Decimal(0))
        totals.append(sheet.words("carriage.total", goods=f"{goods:,.2f}", repair=f"{repair:,.2f}", currency=currency))
    return totals


def _key(word: str) -> str:
    return word.replace(" ", "_").replace("'", "").replace(",", "").replace("-", "_")


def _done(kind: str, story: list[Flowable], report: Report, sheet: Sheet) -> Paperwork:
    words = sheet.words
    if sheet.letters.missing:
        story += [Spacer(0, 4), sheet.say(words("paper.missing_letters"), SMALL)]
    return finished(words(f"title.{kind}"), words("paper.only_this"), story, report, sheet)
