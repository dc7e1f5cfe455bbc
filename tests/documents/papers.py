"""What the tests of the papers share: facts made up for one paper, and reading a paper back."""

from __future__ import annotations

import io
from datetime import UTC, date, datetime
from typing import Any

from pypdf import PdfReader
from pypdfium2 import PdfDocument

from traveller.documents.enclosed import Enclosed, Paperwork
from traveller.documents.report import typeset_report
from traveller.judgement import Verdict
from traveller.record.canonical import canonical
from traveller.record.report import (
    Concession,
    Deviation,
    Figure,
    Instrument,
    Measurement,
    Method,
    Observation,
    Part,
    People,
    Photo,
    Plate,
    Release,
    Report,
    Warranty,
    digest_of,
)
from traveller.tags import read_tag
from traveller.tags.code import qr_matrix, seal_matrix
from traveller.vocabulary import UnitKind

TAG = "U0000017"
SEAL = "0f" * 32
DAY = date(2031, 3, 3)


def part(place: str, **changed: Any) -> Part:
    facts: dict[str, Any] = {
        "place": place,
        "part": "transistor",
        "lot": "L1",
        "reason": "failed",
        "matched_set": "",
        "fitted_by": "Tomasz Reyes",
        "seen_by": "Hana Lindqvist",
    }
    return Part(**{**facts, **changed})


def facts(**changed: Any) -> Report:
    """A released unit with one of everything."""
    seen = Observation(ask="Seen from outside?", found="dusty", on=DAY, by="Tomasz Reyes")
    whole: dict[str, Any] = {
        "tag": TAG,
        "shop": "Ambrose Motor Works",
        "address": "Mill Lane 4\nSandbeck",
        "customer": "Sandbeck Packaging",
        "contact": ("Mill Lane 4", "Sandbeck"),
        "order": "PO-77",
        "plate": Plate(
            kind=UnitKind.AC_DRIVE,
            maker="Norrfeld",
            model="NF-22",
            serial="8841-207",
            ratings=(Figure(name="output_amps", value=12.0, unit="A"),),
        ),
        "outcome": "repair",
        "received": date(2031, 2, 27),
        "worked_from": date(2031, 2, 27),
        "worked_to": date(2031, 3, 2),
        "issued": DAY,
        "fault": "trips on overcurrent when warm",
        "condition": (seen,),
        "findings": (seen.model_copy(update={"found": "Q3 shorted"}),),
        "cause": (seen.model_copy(update={"ask": "cause", "found": "bleeder open for months"}),),
        "parts": (part("Q3"), part("Q1", reason="matched set"), part("C4", reason="aged")),
        "measurements": (
            Measurement(
                station="Load test",
                ask="Amps at full load",
                value="12.1 A",
                limit="11.4 A to 13.2 A",
                verdict=Verdict.PASS,
                conceded=False,
                working=(),
                source="common practice",
                on=DAY,
                instruments=("M0000018",),
            ),
        ),
        "instruments": (
            Instrument(
                tag="M0000018", name="Meter 1", instrument_class="power analyser", calibration_due=date(2031, 9, 1)
            ),
        ),
        "run": None,
        "thermal": (),
        "photos": (Photo(picture="00" * 32, caption="Photo of the inside"),),
        "methods": (Method(station="Load test", edition="2-abc", passed=4, not_applicable=1, by=("Bram Adeyemi",)),),
        "deviations": (Deviation(what="Coating", why="board had none", by="Hana Lindqvist"),),
        "concessions": (
            Concession(
                found="scratch on the cover",
                why="looks only",
                customers_word="Ms Fry, by mail 1 March",
                by="Ines Okoro",
            ),
        ),
        "people": People(worked=("Tomasz Reyes",), inspected=("Hana Lindqvist",)),
        "cautions": ("isolate", "prove_dead"),
        "warranty": Warranty(until=date(2032, 3, 3), months=12, working=("2031-03-03 + 12 months = 2032-03-03",)),
        "release": Release(
            statement="repaired and proved", by="Mira Castellan", at=datetime(2031, 3, 3, 6, tzinfo=UTC), seal=SEAL
        ),
        "still_open": 0,
    }
    return Report(**{**whole, **changed})


def on_paper(report: Report, language: str = "en", paper: Any = "a4", **enclosed: Any) -> Paperwork:
    tag = read_tag(report.tag)
    seal = seal_matrix(tag, report.release.seal) if report.release else None
    held = Enclosed(qr_matrix(tag), seal, digest_of(canonical(report)), **enclosed)
    return typeset_report(report, held, language, paper)


def words_of(pdf: bytes) -> str:
    """Everything that stands on the pages, as an independent reader finds it."""
    return "\n".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages)


def pixels_of(pdf: bytes, page: int, scale: float = 3.0) -> Any:
    """A page as a picture (PIL), drawn by PDFium."""
    with PdfDocument(pdf) as document:
        return document[page].render(scale=scale).to_pil()
