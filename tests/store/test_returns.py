"""A unit that came back: linked to its earlier traveller, its warranty decided; and the figures gathered."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.small_shop import NOW, PIN, PLATE, SEEN, SmallShop, lay_sheets, opened
from traveller.commands.figures import _csv, inert
from traveller.errors import InputError, Refused
from traveller.record.answers import Chosen
from traveller.record.canonical import canonical
from traveller.store.workshop import Workshop

WARRANTED = '# key = "seen_before"\n# key = "warranty"\n'


@pytest.fixture(name="bench")
def _bench(database_url: str, tmp_path: Path) -> Iterator[tuple[SmallShop, str]]:
    """The shop, and the tag of a unit that was released on 3 March 2031."""
    shop = opened(database_url, tmp_path)
    tag = shop.ready()
    shop.workshop.release(tag, shop.clerk, PIN, "repaired and proved")
    yield shop, tag
    shop.workshop.close()


def later(shop: SmallShop, folder: Path, days: int) -> SmallShop:
    sheets = lay_sheets(folder / "warranted", goods_in=SEEN + WARRANTED)
    then = NOW + timedelta(days=days)
    return shop.at(Workshop.open(shop.url, terminal="goods-in", overlay=sheets, clock=lambda: then))


@pytest.mark.parametrize(
    ("days", "covered", "answer"),
    [(366, True, "back under warranty same fault"), (367, False, "back after warranty")],
    ids=["the last day", "a day later"],
)
def test_the_warranty_is_decided_by_the_calendar(
    bench: tuple[SmallShop, str], tmp_path: Path, days: int, covered: bool, answer: str
) -> None:
    """Released 3 March 2031, 12 calendar months: to 3 March 2032 (a leap year, 366 days) included; Regulation
    1182/71 article 3(2)(c)."""
    shop, old = bench
    shop = later(shop, tmp_path, days)
    new = shop.booked()
    view = shop.workshop.returns.link(new, shop.workshop.returns.latest(new), shop.technician, "same", "Q3 again")
    body = view.unit.returned
    assert body is not None
    assert (body.earlier, body.covered, body.until) == (old, covered, date(2032, 3, 3))
    seal = shop.workshop.unit(old).unit.release
    assert seal is not None
    assert body.seal == seal.digest
    said = {one.check.key: one.evidence.answer for one in view.standings("goods_in") if one.evidence}
    seen_before = said["seen_before"]
    assert isinstance(seen_before, Chosen)
    assert seen_before.option == answer
    assert "warranty" in {one.check.key for one in view.standings("goods_in") if one.state.counts}


def test_another_unit_or_an_open_traveller_is_refused(bench: tuple[SmallShop, str], tmp_path: Path) -> None:
    shop, old = bench
    shop = later(shop, tmp_path, 10)
    new, other = shop.booked(), shop.workshop.book_in(shop.technician, PLATE.model_copy(update={"serial": "B7"}))
    link = shop.workshop.returns.link
    for tag, earlier, says in (
        (new, new, "is this traveller itself"),
        (other.unit.tag, old, "another serial number"),
        (shop.booked(), new, "was never released"),
    ):
        with pytest.raises(Refused, match=says):
            link(tag, earlier, shop.technician, "same", "seen")
    with pytest.raises(Refused, match="may not link"):
        link(new, old, shop.clerk, "same", "seen")
    with pytest.raises(Refused, match="nothing was typed"):
        link(new, old, shop.technician, "same", " ")
    with pytest.raises(InputError, match="No released traveller"):
        shop.workshop.returns.latest(other.unit.tag)


def test_the_board_of_figures_grows_with_the_record(bench: tuple[SmallShop, str], tmp_path: Path) -> None:
    shop, old = bench
    shop = later(shop, tmp_path, 10)
    board = shop.workshop.figures
    first = board.now()
    assert (first.in_work, first.released, first.came_back.count) == (0, 1, 0)
    new = shop.booked()
    shop.workshop.returns.link(new, old, shop.technician, "other", "another board")
    second = board.now()
    assert (second.in_work, second.came_back.count, second.came_back_covered.count) == (1, 1, 1)
    assert second == shop.at(later(shop, tmp_path, 10).workshop).workshop.figures.now()
    assert [one.part for one in second.parts] == ["transistor"]


def test_the_table_holds_no_formula(bench: tuple[SmallShop, str]) -> None:
    """Cells that begin with = + - @ tab or return are made inert (OWASP, CSV injection)."""
    shop, _ = bench
    makers = ("=1+1", "@SUM(A1)", "+4", "-4")
    for maker in makers:
        shop.ready(PLATE.model_copy(update={"maker": maker}))
    rows = list(csv.reader(io.StringIO(_csv(shop.workshop.figures.now()))))
    assert all(len(row) == 4 for row in rows)
    assert {row[1] for row in rows if row[0] == "failed"} == {
        f"{PLATE.maker} D7: transistor",
        *(f"'{maker} D7: transistor" for maker in makers),
    }
    assert not [cell for row in rows for cell in row if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    assert inert("=1+1") == "'=1+1"
    assert inert(-4) == -4


def test_old_entries_and_new_ones_read_alike(bench: tuple[SmallShop, str]) -> None:
    shop, old = bench
    for entry in shop.workshop.unit(old).entries:
        assert type(entry).model_validate_json(canonical(entry)) == entry
