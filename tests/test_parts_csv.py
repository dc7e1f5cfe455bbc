"""A parts list from a file: what programs export is read, what is wrong is said, nothing is half taken."""

from __future__ import annotations

import codecs
import csv
import io
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from traveller.errors import InputError
from traveller.parts_csv import HeadersUnknown, read_parts
from traveller.record.parts_entries import Part, PartKind
from traveller.stationbook import load_stations

NAMES = load_stations().part_names
PLAIN = "Ref,Kind,Value,Rating\nC1,electrolytic,470 µF,450 V\nQ1,IGBT,,600 V\n"
ENCODINGS = {"utf-8": "UTF-8", "utf-8-sig": "UTF-8", "utf-16": "UTF-16", "cp1252": "Windows-1252"}


def read(text: str | bytes, **said: str) -> tuple[Part, ...]:
    return read_parts(text if isinstance(text, bytes) else text.encode(), NAMES, {}, said).parts


def refused(data: str | bytes) -> str:
    with pytest.raises(InputError) as caught:
        read(data)
    return str(caught.value)


@pytest.mark.parametrize(("encoding", "separator"), list(product(ENCODINGS, ",;\t")))
def test_every_encoding_and_separator_gives_the_same_list(encoding: str, separator: str) -> None:
    found = read_parts(PLAIN.replace(",", separator).encode(encoding), NAMES, {})
    assert found.parts == read(PLAIN)
    assert found.encoding == ENCODINGS[encoding]
    assert found.parts[0] == Part(reference="C1", kind=PartKind.ELECTROLYTIC, value="470 µF", rating="450 V")


@pytest.mark.parametrize(
    ("headers", "kind"),
    [
        ("Bezeichner;Bauteilart;Wert", "Elko"),
        ("référence;catégorie;valeur", "condensateur électrolytique"),
        ("Riferimento;Tipo;Valore", "condensatore elettrolitico"),
        ("Referencia;Categoría;Valor", "condensador electrolítico"),
        ("DESIGNATOR;part-type;VAL", "E-Cap"),
    ],
)
def test_headers_and_kinds_in_several_languages(headers: str, kind: str) -> None:
    (part,) = read(f"{headers}\nC1;{kind};4,7 µF\n")
    assert (part.kind, part.value) == (PartKind.ELECTROLYTIC, "4,7 µF")


def test_several_places_in_one_cell_and_ranges() -> None:
    parts = read('Ref,Kind,Drives\n"C1, C2;C5",film,\nQ1-Q3,IGBT,\nA2-C1,film,\nU1,driver,"Q1,Q2"\n')
    assert [part.reference for part in parts] == ["C1", "C2", "C5", "Q1", "Q2", "Q3", "A2-C1", "U1"]
    assert parts[-1].drives == ("Q1", "Q2")


def test_cells_in_quotation_marks_keep_separators_and_lose_line_breaks() -> None:
    (part,) = read('ref,kind,value,footprint\nC1,film,"4,7 µF, X2","pitch\n 15 mm"\n')
    assert (part.value, part.footprint) == ("4,7 µF, X2", "pitch 15 mm")


def test_a_cell_that_a_spreadsheet_would_work_out_stays_text() -> None:
    (part,) = read("ref,kind,value\nC1,film,=cmd|' /C calc'!A0\n")
    assert part.value == "=cmd|' /C calc'!A0"


def test_columns_that_nobody_asks_for_are_named() -> None:
    found = read_parts(b"Ref,Kind,Qty,Price\nC1,film,1,2\n", NAMES, {})
    assert found.unread == ("Qty", "Price")


def test_unknown_headers_are_asked_for_and_remembered_in_any_order() -> None:
    odd = b"Alpha,Beta\nC1,film\n"
    with pytest.raises(HeadersUnknown) as caught:
        read_parts(odd, NAMES, {})
    assert caught.value.headers == ("Alpha", "Beta")
    learned = read_parts(odd, NAMES, {}, {"Alpha": "reference", "beta": "kind"})
    remembered = {frozenset(learned.headers): learned.columns}
    assert read_parts(b"BETA,alpha\nfilm,C1\n", NAMES, remembered).parts == learned.parts


def test_what_a_person_says_of_a_column_counts_more_than_its_name() -> None:
    two = "Ref,Type,Category\nC1,B43501,film\n"
    assert "both look like the kind" in refused(two)
    (part,) = read(two, Category="kind", Type="value")
    assert (part.kind, part.value) == (PartKind.FILM, "B43501")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "holds nothing"),
        (b"\xef\xbb\xbf\r\n", "holds no text"),
        (bytes(10_000), "holds no text"),
        (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "no text"),
        (b"\xff\xfeR\x00e", "begins as UTF-16"),
        (b"Ref,Kind\nC1,\x81\x8d", "no text in UTF-8, UTF-16 or Windows-1252"),
        ("Ref;Kind;Value\nC1;film;1 µF\n".encode() + "C2;film;1 µF\n".encode("cp1252"), "line 2 is UTF-8 and line 3"),
        ("Ref,Kind\n", "no part below the headers"),
        ('Ref,Kind\n"C1,film\n', "From line 2 on"),
        ("Ref,Kind\nC1,film,x\n", "line 2 has 3 cells and there are 2 headers"),
        ("Ref,Kind\nC1,wobbler\n", 'line 2: "wobbler" is not a kind of part'),
        ("Ref,Kind\nC1,\n", "line 2: the kind is missing"),
        ("Ref,Kind\n,film\n", "line 2: The place on the board is missing"),
        ("Ref,Kind\n=1+1,film\n", 'line 2: "=1+1" is no place on a board'),
        ("Ref,Kind\nC1-4,film\n", "may be one place or many"),
        ("Ref,Kind\nC4-C1,film\n", "counts backwards"),
        ("Ref,Kind\nC1-C99999,film\n", "99999 places"),
        ("Ref,Kind\nC1,film\n\nc1,relay\n", "C1 stands 2 times (lines 2, 4)"),
        (f"Ref,Kind,Value\nC1,film,{'x' * 121}\n", "line 2: value is longer than 120"),
        (b"Ref,Kind\n" + b"C1,film\n" * 700_000, "larger than 5 MB"),
    ],
)
def test_bad_files_are_refused_in_words(data: str | bytes, words: str) -> None:
    assert words in refused(data)


def test_all_problems_are_counted_and_the_first_ten_named() -> None:
    said = refused("Ref,Kind\nC0,film\n" + "".join(f"C{n},wobbler\n" for n in range(1, 26))).splitlines()
    assert said[0] == "Nothing was taken from the file; 25 problems:"
    assert [line.split(":")[0] for line in said[1:-1]] == [f"line {n}" for n in range(3, 13)]
    assert said[-1] == "... and 15 more."


def test_five_thousand_lines_are_read_whole() -> None:
    lines = "".join(f"R{n},resistor,4k7\n" for n in range(5000))
    assert len(read(f"Ref,Kind,Value\n{lines}")) == 5000


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused_in_words(data: bytes) -> None:
    try:
        read(data)
    except InputError as error:
        assert len(str(error).split()) > 3


@given(st.text(max_size=200))
def test_any_text_below_good_headers_is_read_or_refused_in_words(text: str) -> None:
    data = f"Ref,Kind,Value\n{text}".encode("utf-8", "replace")
    try:
        assert read(data)
    except InputError as error:
        assert len(str(error).split()) > 3


words = st.text(st.characters(codec="cp1252", exclude_categories=["Cc", "Zl", "Zp"]), max_size=20).map(
    lambda text: " ".join(text.split())
)
any_parts = st.lists(
    st.builds(
        Part,
        reference=st.integers(0, 500).map(lambda number: f"C{number}"),
        kind=st.sampled_from(PartKind),
        value=words,
        rating=words,
        matched_set=words,
        drives=st.lists(st.sampled_from(["Q1", "Q2"]), unique=True).map(tuple),
    ),
    min_size=1,
    max_size=8,
    unique_by=lambda part: part.reference,
)


@given(any_parts, st.sampled_from(",;\t"), st.sampled_from(["utf-8", "utf-8-sig", "utf-16"]))
def test_a_list_that_was_written_is_read_as_it_was(parts: list[Part], separator: str, encoding: str) -> None:
    """Written by the csv module, which is nobody's but Python's."""
    out = io.StringIO()
    writer = csv.writer(out, delimiter=separator)
    writer.writerow(["reference", "kind", "value", "rating", "matched set", "drives"])
    for part in parts:
        writer.writerow([part.reference, part.kind, part.value, part.rating, part.matched_set, ", ".join(part.drives)])
    assert read(codecs.encode(out.getvalue(), encoding)) == tuple(parts)
