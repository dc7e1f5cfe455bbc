"""The brief on paper, read back by another program (pypdf): one page, dangers never left out."""

from __future__ import annotations

import io
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader

from traveller.documents.board_sheet import board_sheet, rooms
from traveller.record.brief.brief import SHOWN, Brief, Glance, Reader, make_brief
from traveller.record.brief.matter import Matter, Section
from traveller.record.shop import Shop

NOW = datetime(2031, 3, 3, 6, 5, tzinfo=UTC)


def brief_with(matters: list[Matter], units: int = 1) -> Brief:
    turn = Shop(zone="Europe/Berlin").turn(NOW)
    glances = [Glance(f"U{number:06d}X", "D 7½", "load_test", "", False, matters) for number in range(units)]
    return make_brief(turn, NOW, Reader("", "", NOW - timedelta(days=1)), glances, ())


def read(pdf: bytes) -> tuple[int, str]:
    pages = PdfReader(io.BytesIO(pdf)).pages
    return len(pages), "\n".join(page.extract_text() for page in pages)


def test_the_page_holds_what_the_meeting_needs() -> None:
    """Form, date and time of use, both signatures: DOE-STD-1038-93, section 4.1.2."""
    matters = [
        Matter(Section.DANGER, "ENERGISED: on rig 1", "P-1", NOW),
        Matter(Section.HELD, "waits for Größl & Søn, Łódź", "P-1", NOW),
    ]
    pages, text = read(board_sheet(brief_with(matters), "Example Works", {"P-1": "Anna"}.__getitem__))
    assert pages == 1
    for words in (
        "Example Works",
        "early Mon 3 Mar",
        "printed 2031-03-03 07:05 Europe/Berlin",
        "an older print is void",
        "1 DANGEROUS NOW (1)",
        "U000000X",
        "ENERGISED: on rig 1 (Anna)",
        "Größl & Søn",
        "handed over by",
        "taken over by",
        "date, time",
        "Form 1",
        "Local codes, the maker's manual",
    ):
        assert words in text, text


@pytest.mark.parametrize("units", [1, 30, 300])
def test_it_stays_one_page_and_counts_what_it_leaves_out(units: int) -> None:
    danger = [Matter(Section.DANGER, "HOT: heat sink " * 20, "", NOW)]
    rest = [Matter(section, f"{section} words", "P-9", NOW, due=NOW, refers="1") for section in SHOWN[1:]]
    made = brief_with(rest, units)
    dangers = brief_with(danger, 20)
    both = Brief(made.turn, NOW, "", made.since, made.wanted, (*dangers.lines, *made.lines))
    pages, text = read(board_sheet(both, "Example Works", str))
    assert pages == 1
    assert all(line.unit in text for line in dangers.lines)
    assert text.count("HOT: heat sink") >= 20
    for section in SHOWN[1:]:
        assert f"{section.rank} {section.upper()} ({units})" in text
    assert ("more: see the screen (F11)" in text) == (units > 1)


counts = st.fixed_dictionaries({section: st.integers(0, 400) for section in SHOWN})


@given(counts, st.integers(20, 90))
def test_room_is_given_to_dangers_first_and_then_alike(given_counts: dict[Section, int], lines: int) -> None:
    room = rooms(given_counts, lines)
    assert sum(room.values()) <= lines - 2 * len(SHOWN)
    assert all(0 <= room[section] <= count for section, count in given_counts.items())
    free = lines - 2 * len(SHOWN)
    assert room[Section.DANGER] == min(given_counts[Section.DANGER], free)
    cut = [section for section in SHOWN[2:] if room[section] < given_counts[section]]
    assert all(room[one] <= room[other] + 1 for one in SHOWN[2:] for other in cut)


@given(st.text(max_size=60))
def test_any_words_can_be_printed(words: str) -> None:
    pages, _ = read(board_sheet(brief_with([Matter(Section.NOTE, words or "-", words[:5], NOW)]), words, str))
    assert pages == 1
