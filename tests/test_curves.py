"""A curve from a file: what instruments export, and what no instrument does."""

from __future__ import annotations

import csv
import io
import time
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ConfigDict

from traveller.curves import curve_text, with_curves_read
from traveller.errors import InputError
from traveller.judgement import curve
from traveller.record.forms import fields_of, read_model

WANTED = ((-1.0, -0.001), (0.0, 0.0), (0.5, 0.0015))


class Traced(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)

    trace: tuple[tuple[float, float], ...] = curve("a trace", "V", "A")


def points(path: Path) -> tuple[tuple[float, float], ...]:
    return typed(with_curves_read(Traced, {"trace": str(path)})["trace"])


def typed(text: str) -> tuple[tuple[float, float], ...]:
    read = read_model(Traced, {"trace": text}, {})
    assert isinstance(read, Traced)
    return read.trace


def saved(tmp_path: Path, content: bytes) -> Path:
    path = tmp_path / "trace.csv"
    path.write_bytes(content)
    return path


@pytest.mark.parametrize(
    "content",
    [
        b"-1,-0.001\n0,0\n0.5,0.0015\n",
        b"volts,amps\n-1,-0.001\n0,0\n0.5,0.0015\n",
        b"volts;amps\r\n-1;-0.001\r\n0;0\r\n0.5;0.0015\r\n",
        b"-1\t-0.001\n0\t0\n0.5\t0.0015",
        b"U [V];I [A]\n-1,0;-0,001\n0,0;0,0\n0,5;0,0015\n",  # decimal commas
        b"V\tA\n-1,0\t-1,0e-3\n0\t0\n5e-1\t1,5E-3\n",
        b"\xef\xbb\xbfvolts,amps\n\n-1,-0.001\n\n0,0\n0.5,0.0015\n\n",  # BOM and empty lines
        "volts,amps\n-1,-0.001\n0,0\n0.5,0.0015\n".encode("utf-16"),
        b'"volts","amps"\n"-1","-0.001"\n"0","0"\n"0.5","0.0015"\n',
        b"-1;-0.001;\n0;0;\n0.5;0.0015;\n",  # a separator at the end of each line
        b"Spannung,Strom in \xc4\n-1,-0.001\n0,0\n0.5,0.0015\n",  # heading in an old code page
    ],
)
def test_the_ways_in_which_instruments_export(tmp_path: Path, content: bytes) -> None:
    """RFC 4180 and what spreadsheets make of it in countries with a decimal comma."""
    assert points(saved(tmp_path, content)) == WANTED


def test_reversed_rows_keep_their_order_for_the_judge(tmp_path: Path) -> None:
    assert points(saved(tmp_path, b"0.5,0.0015\n0,0\n-1,-0.001\n")) == WANTED[::-1]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"1,2\n2,\n3,4\n", "line 2: there is a gap"),
        (b"1,2\n,3\n3,4\n", "line 2: there is a gap"),
        (b"1,2\n2,nan\n3,4\n", "line 2.*not two numbers"),
        (b"NaN,2\n2,3\n3,4\n", "line 1.*not two numbers"),
        (b"1,2\n2,inf\n3,4\n", "line 2.*not two numbers"),
        (b"1,2\n2,1e999\n3,4\n", "line 2.*not two numbers"),
        (b"1,2\nOL,3\n3,4\n", "line 2.*not two numbers"),
        (b"1,2,3\n2,3,4\n", "3 columns were read"),
        (b"0,5,1,2\n0,6,1,3\n", "decimal commas"),
        (b"1\n2\n3\n", "1 columns were read"),
        (b"volts,amps\n", "0 points"),
        (b"volts,amps\n1,2\n", "1 points"),
        (b"", "0 points"),
        (b"volts,mA\n1,2\n2,3\n", "in mA: export it in volts and amperes"),
        (b"U (V);I (\xc2\xb5A)\n1;2\n2;3\n", "export it in volts and amperes"),
        (bytes(range(256)) * 40, "not a text file"),
        (b"\x89PNG\r\n\x1a\n\xff\xfe\xfd" * 9, "line|column|text"),
    ],
)
def test_what_is_no_curve_is_refused_in_words(tmp_path: Path, content: bytes, says: str) -> None:
    with pytest.raises(InputError, match=says) as refused:
        points(saved(tmp_path, content))
    assert str(refused.value).startswith("trace: ")


def test_ten_million_lines_are_refused_at_once(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    with path.open("w") as file:
        for _ in range(1000):
            file.write("1.0,2.0\n" * 10_000)
    start = time.monotonic()
    with pytest.raises(InputError, match="larger than 5 MB"):
        curve_text(path)
    assert time.monotonic() - start < 2
    path.unlink()


@pytest.mark.parametrize(("count", "fits"), [(20_000, True), (20_001, False)])
def test_twenty_thousand_points_fit(tmp_path: Path, count: int, fits: bool) -> None:
    path = saved(tmp_path, b"".join(b"%d,1\n" % number for number in range(count)))
    if fits:
        assert len(points(path)) == count
    else:
        with pytest.raises(InputError, match="more than 20000 points"):
            points(path)


@pytest.mark.parametrize("path", ["/nowhere/at/all.csv", ".", "x" * 5000, "~nobody-here/trace.csv", "\0"])
def test_what_is_no_file_is_refused_in_words(path: str) -> None:
    with pytest.raises(InputError, match="trace: "):
        with_curves_read(Traced, {"trace": path})


def test_a_directory_without_leave_is_refused_in_words(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="not a file"):
        with_curves_read(Traced, {"trace": str(tmp_path)})


@pytest.mark.parametrize(
    "text", ["-1 -0.001; 0 0; 0.5 0.0015", "-1,-0.001\n0,0\n0.5,0.0015", "-1 V -0.001"[:2] + " -1m; 0 0; 500m 1.5m"]
)
def test_points_can_be_typed(text: str) -> None:
    assert typed(with_curves_read(Traced, {"trace": text})["trace"]) == WANTED


@pytest.mark.parametrize("text", ["1 2 3; 4 5 6", "1; 2; 3", "a b; c d", "1 nan; 2 3", "1 OL; 2 3", "1 2"])
def test_typed_points_that_are_no_pairs_are_refused(text: str) -> None:
    with pytest.raises(InputError):
        typed(text)


def test_too_many_typed_points_are_refused() -> None:
    with pytest.raises(InputError, match="too many"):
        typed("1 2;" * 20_001)


def test_the_form_knows_a_curve_from_a_list() -> None:
    (field,) = fields_of(Traced)
    assert field.curve == ("V", "A")
    assert not field.many


ROWS = st.lists(st.tuples(st.integers(-9, 9), st.integers(-9, 9)), max_size=5).map(
    lambda rows: "".join(f"{volts},{amps}\n" for volts, amps in rows).encode()
)


@settings(max_examples=100)
@given(st.binary(max_size=300) | st.tuples(ROWS, st.binary(max_size=3)).map(b"".join))
def test_any_bytes_are_a_curve_or_refused(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_bytes(content)
    try:
        text = curve_text(path)
    except InputError:
        return
    assert len(text.split(";")) >= 2


@settings(max_examples=100)
@given(
    st.lists(st.tuples(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6)), min_size=2, max_size=30),
    st.sampled_from((",", ";", "\t")),
    st.booleans(),
    st.booleans(),
)
def test_what_the_csv_module_writes_is_read_back(
    tmp_path_factory: pytest.TempPathFactory,
    pairs: list[tuple[float, float]],
    separator: str,
    heading: bool,
    comma: bool,
) -> None:
    """Python's own csv writer, as an independent hand."""
    text = io.StringIO()
    writer = csv.writer(text, delimiter=separator)
    if heading:
        writer.writerow(("volts", "amps"))
    for pair in pairs:
        writer.writerow([repr(one).replace(".", "," if comma and separator != "," else ".") for one in pair])
    path = tmp_path_factory.getbasetemp() / "written.csv"
    path.write_text(text.getvalue(), encoding="utf-8")
    assert points(path) == tuple(pairs)
