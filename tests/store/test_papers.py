"""Papers against the record: a paper agrees with the record it was made from, and with no other."""

from __future__ import annotations

import io
from datetime import date

import pytest
from pypdf import PdfReader, PdfWriter
from reportlab.pdfgen.canvas import Canvas
from sqlalchemy import text

from tests.small_shop import PIN, SmallShop
from tests.store.tampering import without_triggers
from traveller.documents.attached import FILE, facts_in
from traveller.documents.page import Paper
from traveller.errors import InputError
from traveller.store.engine import writing
from traveller.store.papers import Compared


@pytest.fixture(name="out")
def _out(shop: SmallShop) -> str:
    """The tag of a released unit."""
    tag = shop.ready()
    shop.workshop.release(tag, shop.clerk, PIN, "repaired and proved")
    return tag


def compared(shop: SmallShop, pdf: bytes) -> Compared:
    return shop.workshop.papers.compare("report.pdf", pdf)


def changed(pdf: bytes, facts: str | None = None, over: bytes | None = None) -> bytes:
    """The paper with other facts in it, or with something drawn over its first page."""
    writer = PdfWriter(clone_from=io.BytesIO(pdf))
    if over is not None:
        writer.pages[0].merge_page(PdfReader(io.BytesIO(over)).pages[0])
    if facts is not None:
        writer = PdfWriter()
        for page in PdfReader(io.BytesIO(pdf)).pages:
            writer.add_page(page)
        writer.add_attachment(FILE, facts.encode())
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def drawn(words: str = "", white: bool = False) -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out)
    canvas.drawString(200, 400, words)
    if white:
        canvas.setFillGray(1)
        canvas.rect(40, 300, 500, 300, stroke=0, fill=1)
    canvas.save()
    return out.getvalue()


@pytest.mark.parametrize(("language", "paper"), [("en", "a4"), ("de", "letter")])
def test_a_paper_agrees_with_its_record_on_any_later_day(
    shop: SmallShop, out: str, language: str, paper: Paper
) -> None:
    made = shop.workshop.papers.report(out, language, paper)
    assert shop.workshop.papers.report(out, language, paper) == made
    shop.workshop.registry.name_shop("Another name", "Europe/Berlin", shop.lead)
    shop.workshop.registry.register_instrument("Voltmeter 1", "voltmeter", date(2095, 1, 1), shop.lead)
    assert compared(shop, made.data).complaints == ()
    assert shop.workshop.papers.facts(out).shop == ""


def test_a_file_that_was_only_saved_anew_still_agrees(shop: SmallShop, out: str) -> None:
    assert compared(shop, changed(shop.workshop.papers.report(out).data)).complaints == ()


def test_words_laid_over_a_page_are_found(shop: SmallShop, out: str) -> None:
    (only,) = compared(shop, changed(shop.workshop.papers.report(out).data, over=drawn("for 36 months"))).complaints
    assert "Page 1 does not say what the record gives" in only


def test_a_white_patch_over_the_words_is_found(shop: SmallShop, out: str) -> None:
    (only,) = compared(shop, changed(shop.workshop.papers.report(out).data, over=drawn(white=True))).complaints
    assert "something drawn on it was changed" in only


def test_facts_changed_inside_the_file_are_found(shop: SmallShop, out: str) -> None:
    pdf = shop.workshop.papers.report(out).data
    facts = facts_in("report.pdf", pdf).replace('"customer":"Mill"', '"customer":"Mall"')
    complaints = compared(shop, changed(pdf, facts)).complaints
    assert any("their digest does not fit" in one for one in complaints)
    assert any("other facts than the record gives: customer" in one for one in complaints)


def test_a_missing_page_is_found(shop: SmallShop, out: str) -> None:
    pdf = shop.workshop.papers.report(out).data
    writer = PdfWriter(clone_from=io.BytesIO(pdf))
    writer.remove_page(0)
    shorter = io.BytesIO()
    writer.write(shorter)
    assert any("The paper has" in one for one in compared(shop, shorter.getvalue()).complaints)


def test_a_tampered_entry_is_found_by_the_paper(shop: SmallShop, out: str) -> None:
    pdf = shop.workshop.papers.report(out).data
    with writing(shop.workshop.engine) as connection:
        without_triggers(connection)
        change = 'UPDATE entry SET payload = replace(payload, \'"fitted":"transistor"\', \'"fitted":"relay"\')'
        connection.execute(text(f"{change} WHERE subject = :tag"), {"tag": out})
    afresh = shop.at(shop.terminal("another"))
    complaints = compared(afresh, pdf).complaints
    assert any("was changed after it was written" in one for one in complaints)
    assert any("other facts than the record gives: parts" in one for one in complaints)
    assert any("transistor" in one and "relay" in one for one in complaints)


def test_a_seal_that_is_not_the_digest_of_the_entries_is_found(shop: SmallShop, out: str) -> None:
    pdf = shop.workshop.papers.report(out).data
    seal = shop.workshop.papers.facts(out).release
    assert seal is not None
    with writing(shop.workshop.engine) as connection:
        without_triggers(connection)
        change = text("UPDATE entry SET payload = replace(payload, :seal, :other) WHERE subject = :tag")
        connection.execute(change, {"seal": seal.seal, "other": "1" * 64, "tag": out})
    complaints = compared(shop.at(shop.terminal("another")), pdf).complaints
    assert any(f"The seal on the paper is {seal.seal}, that of the record {'1' * 64}" in one for one in complaints)
    assert any("not the digest of the entries before the release" in one for one in complaints)


def test_a_draft_proves_nothing(shop: SmallShop) -> None:
    tag = shop.ready()
    pdf = shop.workshop.papers.report(tag).data
    assert any("is a draft" in one for one in compared(shop, pdf).complaints)
    shop.workshop.release(tag, shop.clerk, PIN, "repaired and proved")
    assert any("is a draft" in one for one in compared(shop, pdf).complaints)


def test_what_is_no_report_is_refused_in_words(shop: SmallShop, out: str) -> None:
    for data, says in ((b"no pdf", "cannot be read"), (b"", "cannot be read"), (drawn("hello"), "carries no facts")):
        with pytest.raises(InputError, match=says):
            compared(shop, data)
    pdf = shop.workshop.papers.report(out).data
    with pytest.raises(InputError, match="do not read as a report"):
        compared(shop, changed(pdf, facts='{"program": "9"}'))
    with pytest.raises(InputError, match="cannot be read"):
        compared(shop, pdf[: len(pdf) // 2])
