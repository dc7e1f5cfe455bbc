"""The report on paper, read back by pypdf, drawn by PDFium, its codes read by zxing."""

from __future__ import annotations

import io
import tomllib
from pathlib import Path
from string import Formatter
from typing import get_args

import pytest
import zxingcpp
from PIL import Image
from pypdf import PdfReader

from demo.camera import PLACES, area_of, power_stage, write_table
from tests.documents.papers import SEAL, TAG, facts, on_paper, part, pixels_of, words_of
from traveller.documents.drawn import grey
from traveller.documents.wording import FOLDER, Words, catalogue, languages
from traveller.errors import InputError
from traveller.judgement import Finding, Verdict
from traveller.pictures.grid import read_grid
from traveller.record.cautions import CAUTIONS
from traveller.record.entries import Outcome
from traveller.record.report import Photo
from traveller.record.thermal import Grid, heat_of, read_area
from traveller.record.thermal_entries import AreaSeen, ThermalTaken
from traveller.record.work_entries import WorkReason
from traveller.vocabulary import RATINGS, UnitKind

POINT_MM = 25.4 / 72

ON_PAPER = {
    "a": ["Repair report"],
    "b": ["Ambrose Motor Works", "Mill Lane 4", "Sandbeck"],
    "c": ["Done at the workshop named above."],
    "d": [f"{TAG}-0F0F0F0F0F0F", "page 1 of", "End of report"],
    "e": ["Sandbeck Packaging Mill Lane 4 Sandbeck", "PO-77"],
    "f": ["Checklists worked through", "Load test", "2-abc"],
    "g": ["AC drive", "Norrfeld", "NF-22", "8841-207", "output current 12 A", "Condition on arrival", "dusty"],
    "h": ["Received 2031-02-27"],
    "i": ["2031-02-27 – 2031-03-02"],
    "j": ["Issued 2031-03-03"],
    "k": ["Sampling: none"],
    "l": ["Relates only to the item described here."],
    "m": ["Amps at full load", "12.1 A", "11.4 A to 13.2 A", "pass"],
    "n": ["Coating", "board had none", "scratch on the cover", "Ms Fry, by mail 1 March"],
    "o": ["Released by", "Mira Castellan"],
    "p": ["No result from outside the workshop"],
}
"""ISO/IEC 17025:2017 7.8.2.1, its items a to p, and what stands on the paper for each."""


@pytest.mark.parametrize("item", ON_PAPER)
def test_every_item_of_the_standard_stands_on_the_paper(item: str) -> None:
    assert len(ON_PAPER) == 16
    words = words_of(on_paper(facts()).data)
    assert [one for one in ON_PAPER[item] if one not in words] == []


def test_what_a_customer_looks_for_stands_on_it() -> None:
    """IMO fire-test report list (its addition to ISO/IEC 17025): the instruments, with calibration due."""
    words = words_of(on_paper(facts()).data)
    for wanted in (
        "trips on overcurrent when warm",
        "bleeder open for months",
        "Q3 shorted",
        "up to and including 2032-03-03",
        "power analyser Meter 1 2031-09-01",
        "Tomasz Reyes",
        "Hana Lindqvist",
        "prove dead",
        SEAL,
    ):
        assert wanted in words, wanted
    order = [words.index(title) for title in ("Failed (1)", "matched set (1)", "because it ages (1)")]
    assert order == sorted(order)


def test_every_page_says_which_report_it_is_and_how_many_pages_there_are() -> None:
    many = facts(parts=tuple(part(f"C{number}") for number in range(400)))
    pdf = on_paper(many).data
    pages = words_of(pdf).split("\n")
    assert len(pages) > 8
    for number, page in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in page
        assert f"{TAG}-0F0F0F0F0F0F" in page
        assert "Relates only to the item described here." in page
    assert all(f"C{number} transistor" in " ".join(pages) for number in range(400))
    assert pages[-1].count("End of report") == 1


def test_a_draft_says_so_on_every_page_and_has_no_seal() -> None:
    parts = tuple(part(f"C{number}") for number in range(90))
    draft = facts(release=None, warranty=None, still_open=3, parts=parts)
    pages = words_of(on_paper(draft).data).split("\n")
    assert len(pages) > 2
    assert all("DRAFT – not released" in page for page in pages)
    assert "open points that keep the unit in the workshop: 3" in pages[0]
    assert SEAL not in "".join(pages)


def test_a_unit_that_was_not_repaired_says_so() -> None:
    words = words_of(on_paper(facts(outcome="scrap", warranty=None, cautions=("not_repaired",))).data)
    assert "Report on a unit that was not repaired" in words
    assert "No warranty" in words
    assert "NOT repaired" in words


def test_the_codes_on_the_paper_read_as_tag_and_seal() -> None:
    """Read by zxing from the page as PDFium draws it at 216 dots per inch."""
    pdf = on_paper(facts()).data
    first = {one.text for one in zxingcpp.read_barcodes(pixels_of(pdf, 0))}
    last = {one.text for one in zxingcpp.read_barcodes(pixels_of(pdf, len(PdfReader(io.BytesIO(pdf)).pages) - 1))}
    assert TAG in first
    assert f"{TAG} {SEAL.upper()}" in last


@pytest.mark.parametrize(("paper", "wide", "high"), [("a4", 210, 297), ("letter", 215.9, 279.4)])
def test_the_paper_has_its_size(paper: str, wide: float, high: float) -> None:
    """ISO 216 A4; ANSI Letter 8.5 x 11 inches."""
    box = PdfReader(io.BytesIO(on_paper(facts(), paper=paper).data)).pages[0].mediabox
    assert (float(box.width) * POINT_MM, float(box.height) * POINT_MM) == pytest.approx((wide, high), abs=0.1)


def test_the_same_facts_give_the_same_bytes() -> None:
    assert on_paper(facts()).data == on_paper(facts()).data


def test_nothing_runs_over_the_edge_of_the_page() -> None:
    """The outer 10 mm at the sides are white, whatever was typed."""
    wide = facts(fault="W" * 300, parts=(part("Q" + "1" * 15, part="X" * 120, lot="L" * 120),), customer="Ö" * 120)
    page = pixels_of(on_paper(wide).data, 0, 2.0).convert("L")
    edge = round(10 / POINT_MM * 2)
    for box in ((0, 0, edge, page.height), (page.width - edge, 0, page.width, page.height)):
        assert page.crop(box).getextrema() == (255, 255)


@pytest.mark.parametrize("name", ["Ðorđe Żółć Ünal", "Ελένη Παπαδοπούλου", "Олена Шевченко", "Nguyễn Thị Ánh"])
def test_names_in_latin_greek_and_cyrillic_print(name: str) -> None:
    done = on_paper(facts(customer=name, people=facts().people.model_copy(update={"worked": (name,)})))
    assert done.missing == ()
    assert name in words_of(done.data)


def test_no_part_is_left_out_whatever_the_reason() -> None:
    parts = tuple(part(f"X{number}", reason=reason) for number, reason in enumerate(get_args(WorkReason)))
    words = words_of(on_paper(facts(parts=parts)).data)
    assert all(one.place in words for one in parts)


def test_what_cannot_be_printed_is_named_and_never_dropped() -> None:
    done = on_paper(facts(customer="株式会社 A\u0301 שלום"))
    assert "U+682A CJK UNIFIED IDEOGRAPH-682A" in done.missing
    assert any("HEBREW LETTER SHIN" in one for one in done.missing)
    words = words_of(done.data)
    assert "□□□□ Á □□□□" in words
    assert "□ stands for a letter that this paper cannot print" in words


def test_a_photo_that_was_lost_is_said_to_be_lost() -> None:
    assert "This photo is not in the database" in words_of(on_paper(facts()).data)
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "grey").save(out, "PNG")
    found = words_of(on_paper(facts(), photos={"00" * 32: out.getvalue()}).data)
    assert "not in the database" not in found
    assert "Photo of the inside" in found


def test_more_photos_than_a_page_holds_are_counted() -> None:
    many = tuple(Photo(picture=f"{number:064d}", caption=f"Photo {number}") for number in range(20))
    words = words_of(on_paper(facts(photos=many)).data)
    assert "Photo 11" in words
    assert "Photo 12" not in words
    assert "More photos in the record: 8" in words


def thermal_picture(folder: Path) -> tuple[ThermalTaken, Grid]:
    """Six siblings, of which Q4 is 18 K too hot."""
    file = folder / "stage.csv"
    write_table(file, power_stage(hot="Q4", extra=18.0))
    grid, how = read_grid(file.name, file.read_bytes())
    coldest, hottest = grid.bounds()
    seen = []
    for name in PLACES:
        area = read_area(area_of(name), "stage")
        heat = heat_of(grid, area)
        says = Finding(verdict=Verdict.FAIL if name == "Q4" else Verdict.PASS, says=f"{name} seen")
        seen.append(AreaSeen(area=area, hottest=heat.hottest, mean=heat.mean, at=heat.at, finding=says))
    taken = ThermalTaken(
        picture="aa" * 32,
        file=file.name,
        size=(grid.width, grid.height),
        scale=how,
        coldest=coldest,
        hottest=hottest,
        ambient=26,
        load_fraction=1,
        seen=tuple(seen),
    )
    return taken, grid


def test_a_thermal_picture_is_drawn_with_its_marked_places(tmp_path: Path) -> None:
    taken, grid = thermal_picture(tmp_path)
    report = facts(thermal=(taken,))
    done = on_paper(report, grids={taken.picture: grid}).data
    words = words_of(done)
    assert all(f"{one.area.name} {one.hottest:.1f}" in words for one in taken.seen)
    assert "100% of full load, air 26 °C" in words
    page = next(n for n, text in enumerate(words.split("\n")) if "Thermal picture" in text)
    assert PdfReader(io.BytesIO(done)).pages[page].images
    lost = on_paper(report).data
    assert "The picture itself is not in the database" in words_of(lost)
    assert "Q4 seen" in words_of(lost)


def test_the_hottest_place_has_the_most_ink(tmp_path: Path) -> None:
    _, grid = thermal_picture(tmp_path)
    drawn = grey(grid, *grid.bounds()).getRGBData()
    inks = drawn[0] if isinstance(drawn, tuple) else drawn
    hottest = max(range(len(grid.celsius)), key=grid.celsius.__getitem__)
    channels = len(inks) // len(grid.celsius)
    assert inks[hottest * channels] == 0 == min(inks)


def test_a_concession_is_marked_in_the_table() -> None:
    one = facts().measurements[0].model_copy(update={"verdict": Verdict.FAIL, "conceded": True})
    assert "§ conceded" in words_of(on_paper(facts(measurements=(one,))).data)


def test_very_long_words_of_a_person_flow_over_pages() -> None:
    long = " ".join(f"word{number}" for number in range(500))
    seen = facts().condition[0].model_copy(update={"found": long})
    words = words_of(on_paper(facts(fault=long, condition=(seen, seen))).data).replace("\n", " ")
    assert words.count("word499") == 3


# ---- the catalogue ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("language", languages())
def test_no_text_is_missing_in_any_language(language: str) -> None:
    english, other = catalogue("en"), catalogue(language)
    assert set(english) == set(other)
    for key, text in english.items():
        asked = {name for _, name, _, _ in Formatter().parse(text) if name}
        given = {name for _, name, _, _ in Formatter().parse(other[key]) if name}
        assert asked == given, key
        assert bool(text) <= bool(other[key]), key


def test_every_word_of_the_record_that_is_printed_has_a_text() -> None:
    keys = set(catalogue("en"))
    wanted = {f"kind.{kind}" for kind in UnitKind} | {f"rating.{name}" for name in RATINGS}
    wanted |= {f"verdict.{verdict.replace(' ', '_')}" for verdict in Verdict}
    wanted |= {f"reason.{reason.replace(' ', '_')}" for reason in get_args(WorkReason)}
    wanted |= {f"outcome.{outcome.replace(' ', '_')}" for outcome in get_args(Outcome)}
    wanted |= {f"cause.{one}" for one in ("cause", "mode", "mechanism", "authority", "decision")}
    wanted |= {f"caution.{name}" for name, _ in CAUTIONS} | {"caution.not_repaired"}
    assert wanted <= keys


def test_the_german_paper_is_german() -> None:
    words = words_of(on_paper(facts(), language="de").data)
    for wanted in ("Reparaturbericht", "Frequenzumrichter", "Seite 1 von", "Ende des Berichts", "bestanden"):
        assert wanted in words
    texts = tomllib.loads((FOLDER / "en.toml").read_text(encoding="utf-8"))
    assert texts["paper"]["title"] not in words


def test_a_language_that_is_not_there_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="the languages are de, en"):
        Words("tlh")
