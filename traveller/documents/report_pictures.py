"""The sections of the report that are pictures: the load run, thermal pictures and photos."""

from __future__ import annotations

import io

from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable, Image, KeepTogether, Spacer, Table

from traveller.documents.boxes import BARE, beside
from traveller.documents.drawn import Thermal
from traveller.documents.enclosed import Enclosed, worded
from traveller.documents.page import CELL, SMALL, Sheet
from traveller.documents.run_drawing import RunDrawing
from traveller.record.report import Report
from traveller.record.thermal_entries import ThermalTaken

PHOTO_TALLEST = 50 * mm
ABREAST = 3
MOST_PHOTOS = 12


def run(report: Report, _enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    """Load and temperatures of the last run over time."""
    curve, words = report.run, sheet.words
    if curve is None:
        return []
    broken = words("run.again", count=len(curve.again)) if curve.again else ""
    judged = curve.verdict
    said = worded("verdict", judged, sheet) if judged else words("run.not_judged")
    held = f"{curve.hold[1] - curve.hold[0]:.4g}" if curve.hold else "0"
    caption = words(
        "run.caption", day=curve.on, rig=curve.rig, held=held, wanted=f"{curve.wanted_minutes:g}", verdict=said
    )
    drawn = RunDrawing(curve, words, sheet.letters, sheet.width)
    return [KeepTogether([sheet.kept_heading("run"), drawn, Spacer(0, 2), sheet.say(f"{caption} {broken}", SMALL)])]


def thermal(report: Report, enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    """Each thermal picture, drawn from the temperatures that were kept."""
    return [part for one in report.thermal for part in _thermal_picture(one, enclosed, sheet)]


def _thermal_picture(taken: ThermalTaken, enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    words, half = sheet.words, sheet.width / 2
    caption = words(
        "thermal.caption",
        coldest=f"{taken.coldest:.1f}",
        hottest=f"{taken.hottest:.1f}",
        load=f"{taken.load_fraction:.0%}",
        ambient=f"{taken.ambient:g}",
        file=taken.file,
    )
    grid = enclosed.grids.get(taken.picture)
    drawn: Flowable = sheet.say(words("thermal.lost"))
    if grid:
        drawn = Thermal(grid, taken.seen, sheet.letters, half - 6 * mm, 60 * mm)
    rows = [
        [
            one.area.name,
            f"{one.hottest:.1f} °C",
            f"{one.finding.verdict.sign} {worded('verdict', one.finding.verdict, sheet)}",
            one.finding.says,
        ]
        for one in taken.seen
    ]
    narrow = Narrow(sheet, half)
    table = narrow.table(("area", "hottest", "verdict", "found"), rows, (14, 16, 18, 42), ("hottest",))
    body = beside([drawn], [table], half, half)
    return [KeepTogether([sheet.kept_heading("thermal"), body, Spacer(0, 2), sheet.say(caption, SMALL)])]


class Narrow(Sheet):
    """The same means on a part of the width."""

    def __init__(self, sheet: Sheet, width: float) -> None:
        self.words, self.letters, self.size, self.width = sheet.words, sheet.letters, sheet.size, width


def photos(report: Report, enclosed: Enclosed, sheet: Sheet) -> list[Flowable]:
    """The photos, three abreast."""
    if not report.photos:
        return []
    third = sheet.width / ABREAST
    shown = report.photos[:MOST_PHOTOS]
    cells = [_photo(enclosed.photos.get(one.picture), one.caption, third - 4 * mm, sheet) for one in shown]
    cells += [[]] * (-len(cells) % ABREAST)
    rows = [_abreast(cells[at : at + ABREAST], third) for at in range(0, len(cells), ABREAST)]
    left = len(report.photos) - len(shown)
    more = [sheet.say(sheet.words("photo.more", count=left), SMALL)] if left else []
    return [KeepTogether([sheet.kept_heading("photos"), rows[0]]), *rows[1:], *more]


def _abreast(cells: list[list[Flowable]], width: float) -> Table:
    row = Table([cells], colWidths=[width] * ABREAST)
    row.setStyle(BARE)
    return row


def _photo(data: bytes | None, caption: str, width: float, sheet: Sheet) -> list[Flowable]:
    if data is None:
        return [sheet.say(f"□ {sheet.words('photo.lost')}", CELL), sheet.say(caption, SMALL)]
    wide, high = ImageReader(io.BytesIO(data)).getSize()
    scale = min(width / wide, PHOTO_TALLEST / high)
    picture = Image(io.BytesIO(data), wide * scale, high * scale, hAlign="LEFT")
    return [picture, sheet.say(caption, SMALL), Spacer(0, 4)]
