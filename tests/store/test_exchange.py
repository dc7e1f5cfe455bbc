"""The record as a file: out of one database and into another, on both engines, with every digest as it was."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from tests.small_shop import NOW, PIN, SmallShop
from traveller.errors import InputError, Refused
from traveller.store.exchange import pictures_beside
from traveller.store.workshop import Workshop

Lines = list[dict[str, object]]


def picture(folder: Path, shade: int) -> str:
    file = folder / f"{shade}.png"
    out = io.BytesIO()
    Image.new("L", (8, 8), shade).save(out, "PNG")
    file.write_bytes(out.getvalue())
    return str(file)


@pytest.fixture(name="out")
def _out(shop: SmallShop, tmp_path: Path) -> tuple[str, str]:
    """Two units, one of them released, each with a photo of its own."""
    released = shop.ready()
    other = shop.booked()
    for shade, tag in enumerate((released, other)):
        shop.answer(tag, "goods_in.photo", picture(tmp_path, shade))
    shop.workshop.release(released, shop.clerk, PIN, "repaired and proved")
    return released, other


@pytest.fixture(name="empty")
def _empty(shop: SmallShop, tmp_path: Path, request: pytest.FixtureRequest) -> Callable[[], Workshop]:
    """Opens an empty database of the other engine."""
    other = f"sqlite:///{tmp_path / 'empty.sqlite'}"
    url = other if shop.url.startswith("postgresql") else request.getfixturevalue("postgresql_url")
    return lambda: Workshop.open(url, terminal="new", overlay=shop.sheets, clock=lambda: NOW)


def read(file: Path) -> Lines:
    return [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines()]


def write(file: Path, lines: Lines) -> None:
    file.write_text("".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8")


def test_the_whole_record_goes_over_to_the_other_engine(
    shop: SmallShop, out: tuple[str, str], empty: Callable[[], Workshop], tmp_path: Path
) -> None:
    file = tmp_path / "shop.jsonl"
    carried = shop.workshop.exchange.export(file)
    paper = shop.workshop.papers.report(out[0])
    new = empty()
    assert new.exchange.read_in(file) == carried
    assert carried.pictures == 2
    assert new.verify() == []
    assert new.cards_astray() == []
    for tag in out:
        assert new.unit(tag).entries == shop.workshop.unit(tag).entries
        assert new.find(tag) == shop.workshop.find(tag)
    assert new.shop() == shop.workshop.shop()
    assert new.papers.compare("report.pdf", paper.data).complaints == ()
    again = tmp_path / "again.jsonl"
    new.exchange.export(again)
    entries = [line for line in read(file) if line["line"] == "entry"]
    assert [line for line in read(again) if line["line"] == "entry"] == entries
    plate = new.unit(out[1]).unit.nameplate
    assert plate
    booked = new.book_in(shop.technician, plate)
    assert booked.unit.tag not in out
    new.close()


def test_one_traveller_takes_along_what_it_needs(
    shop: SmallShop, out: tuple[str, str], empty: Callable[[], Workshop], tmp_path: Path
) -> None:
    file = tmp_path / "one.jsonl"
    assert shop.workshop.exchange.export(file, out[0]).pictures == 1
    new = empty()
    new.exchange.read_in(file)
    assert new.unit(out[0]).entries == shop.workshop.unit(out[0]).entries
    assert new.papers.report(out[0]) == shop.workshop.papers.report(out[0])
    with pytest.raises(Refused, match="No unit has the tag"):
        new.unit(out[1])
    assert new.verify() == []
    new.close()


def test_only_an_empty_database_takes_a_record(shop: SmallShop, out: tuple[str, str], tmp_path: Path) -> None:
    file = tmp_path / "shop.jsonl"
    shop.workshop.exchange.export(file, out[0])
    with pytest.raises(Refused, match="import into an empty one"):
        shop.workshop.exchange.read_in(file)


def _swapped(lines: Lines) -> Lines:
    at = [number for number, line in enumerate(lines) if line["line"] == "entry"][3:5]
    lines[at[0]], lines[at[1]] = lines[at[1]], lines[at[0]]
    return lines


def _changed(lines: Lines) -> Lines:
    one = next(line for line in lines if '"Mill"' in str(line.get("payload")))
    one["payload"] = str(one["payload"]).replace('"Mill"', '"Mall"')
    return lines


def _shorter(lines: Lines) -> Lines:
    last = max(number for number, line in enumerate(lines) if line["line"] == "entry")
    return lines[:last] + lines[last + 1 :]


def _unknown_table(lines: Lines) -> Lines:
    return [*lines[:1], {"line": "row", "table": "pin", "row": {}}, *lines[1:]]


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (_swapped, "does not follow on the entry before it"),
        (_changed, "its digest does not fit"),
        (_shorter, "cut off or lines are missing"),
        (lambda lines: lines[:-1], "cut off or lines are missing"),
        (lambda lines: [*lines, lines[1]], "cut off or lines are missing"),
        (lambda lines: [{**lines[0], "form": 9}, *lines[1:]], "is of form 9"),
        (lambda lines: [{"line": "joke"}, *lines], 'a line "joke" is not known'),
        (lambda lines: [{"line": "entry"}, *lines], "line 1 is damaged"),
        (_unknown_table, "does not take"),
    ],
    ids=["swapped", "changed", "shorter", "cut off", "behind its end", "form", "joke", "bare", "pins"],
)
def test_a_spoilt_file_is_refused_and_leaves_the_database_empty(
    shop: SmallShop,
    out: tuple[str, str],
    empty: Callable[[], Workshop],
    tmp_path: Path,
    spoil: Callable[[Lines], Lines],
    says: str,
) -> None:
    file = tmp_path / "shop.jsonl"
    shop.workshop.exchange.export(file)
    write(file, spoil(read(file)))
    new = empty()
    with pytest.raises(InputError, match=says):
        new.exchange.read_in(file)
    assert new.floor() == []
    assert new.shop().people == {}
    assert out
    new.close()


def test_a_picture_that_is_missing_is_named(
    shop: SmallShop, out: tuple[str, str], empty: Callable[[], Workshop], tmp_path: Path
) -> None:
    file = tmp_path / "shop.jsonl"
    shop.workshop.exchange.export(file)
    first, second = sorted(pictures_beside(file).iterdir())
    first.unlink()
    second.write_bytes(b"another")
    new = empty()
    with pytest.raises(InputError, match="2 pictures not found in"):
        new.exchange.read_in(file)
    carried = new.exchange.read_in(file, allow_lost=True)
    assert (carried.pictures, carried.lost) == (0, (first.name, second.name))
    lost = new.verify()
    assert {one.what for one in lost} == {
        f"The picture {name[:12]} is not in the database." for name in (first.name, second.name)
    }
    assert new.papers.report(out[0]).data
    new.close()


@pytest.mark.parametrize("data", [b"", b"\xff\xfe", b"no json", b"[1]\n"])
def test_what_is_no_record_is_refused(empty: Callable[[], Workshop], tmp_path: Path, data: bytes) -> None:
    file = tmp_path / "no.jsonl"
    file.write_bytes(data)
    new = empty()
    for path in (file, tmp_path / "not there.jsonl"):
        with pytest.raises(InputError):
            new.exchange.read_in(path)
    new.close()


def test_a_folder_that_cannot_be_written_is_said(shop: SmallShop, out: tuple[str, str], tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be written"):
        shop.workshop.exchange.export(tmp_path / "none" / "shop.jsonl", out[0])
