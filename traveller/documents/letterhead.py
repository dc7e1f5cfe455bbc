"""What a report and the papers of the carriage have alike: the head of the first page, and how a paper is finished."""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Spacer

from traveller.documents.boxes import beside
from traveller.documents.drawn import Code, Modules
from traveller.documents.enclosed import Paperwork
from traveller.documents.page import BODY, HEAD_MIDDLE, STRONG, TITLE, Margins, Sheet, typeset
from traveller.record.report import Report

CODE_SIDE = 24 * mm


def letterhead(title: str, report: Report, code: Modules, sheet: Sheet) -> Flowable:
    """Title, shop and address, and beside them the code of the tag."""
    name = [sheet.say(title, TITLE), Spacer(0, 4), sheet.say(report.shop, STRONG)]
    name += [sheet.say(report.address, BODY)] if report.address else []
    return beside(name, [Code(code, CODE_SIDE), sheet.say(report.tag, HEAD_MIDDLE)], sheet.width - CODE_SIDE, CODE_SIDE)


def unit_words(report: Report) -> str:
    """``MAKER MODEL, SERIAL``."""
    return f"{report.plate.maker} {report.plate.model}, {report.plate.serial}"


def finished(title: str, foot: str, story: Sequence[Flowable], report: Report, sheet: Sheet) -> Paperwork:
    """The paper as PDF, with what stands in the margins of every page."""
    margins = Margins(
        identity=report.identity,
        name=report.shop,
        foot=foot,
        banner=sheet.words("paper.draft") if report.draft else "",
        title=title,
        about=unit_words(report)[:70],
        day=report.issued,
    )
    return Paperwork(typeset(story, sheet, margins), sheet.letters.missing)
