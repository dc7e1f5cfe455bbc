"""The screens of the load run: plan, start, reading, hold, verdict; runs side by side; rigs; watched from elsewhere."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractAsyncContextManager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from textual.widgets import DataTable, Input

from demo.logger import Bench, lines
from tests.store.heat_shop import HeatShop, opened
from tests.way.hands import Hands, at_terminal
from traveller.commands.root import root
from traveller.screens.app import TravellerApp
from traveller.screens.run.page import RunPage
from traveller.screens.run.plot import LEFT, plot
from traveller.store.follower import Follower


@pytest.fixture(name="heat")
def _heat(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[HeatShop]:
    shop = opened(f"sqlite:///{tmp_path / 'heat.sqlite'}", tmp_path)
    monkeypatch.setenv("TRAVELLER_STATIONS", str(shop.sheets))
    shop.now = datetime.now(UTC).replace(microsecond=0) - timedelta(hours=3)
    yield shop
    shop.workshop.close()


def terminal(shop: HeatShop, size: tuple[int, int] = (80, 24)) -> AbstractAsyncContextManager[Hands]:
    """A terminal at load test, the tester signed on."""
    app = TravellerApp(shop.url)
    app.settings = app.settings.model_copy(update={"station": "load_test"})
    return at_terminal(app, shop.tester, size)


async def test_a_run_by_keys_alone_at_80_by_24(heat: HeatShop) -> None:
    tag = heat.at_load_test()
    heat.ready(tag)
    async with terminal(heat) as hands:
        await hands.scan(tag)
        await hands.press("f6", "o")
        assert "no run yet" in hands.text()
        await hands.press("p")
        assert await hands.sees("Plan the run")
        await hands.fill({"rig": "1", "hold": "30"})
        assert await hands.sees("planned on Rig 1")
        assert "hold 100 % 30 min" in hands.text()
        await hands.press("s")
        assert await hands.sees("Start the run")
        await hands.fill({"sure": "y"})
        assert await hands.sees("running on Rig 1")
        await hands.press("r")
        assert await hands.sees("Reading")
        await hands.fill({"c0": "12", "c1": "12.1", "c2": "11.9", "c3": "41.5", "c4": "23"})
        assert await hands.sees("held 0 of 30 min")
        assert "✓ heatsink °C" in hands.text()
        await hands.press("r")
        assert await hands.sees("Reading")
        await hands.fill({"c0": "9", "c1": "12.1", "c2": "11.9", "c3": "86"})
        assert "heatsink is at 86 °C, above its limit 85 °C: lower the load or stop" in " ".join(hands.text().split())
        assert "✗ heatsink °C" in hands.text()
        await hands.press("x")
        assert await hands.sees("Stop the run")
        await hands.fill({"why": "too hot"})
        await hands.press("j")
        assert await hands.sees("✗ fail")
        assert "A nonconformity was put down." in hands.text()
        (bad,) = heat.workshop.unit(tag).unit.open_nonconformities()
        assert "heatsink" in bad.found
        await hands.press("b")
        assert await hands.sees("Send back")
        assert hands.app.screen.query_one("#line-found", Input).value == bad.found
        await hands.press("escape", "escape")
        due = datetime(2090, 1, 1, tzinfo=UTC).date()
        meter = heat.workshop.registry.register_instrument("Meter", "multimeter", due, heat.lead)
        heat.workshop.answer(tag, "load_test.made_dead", "2", heat.tester, [meter])
        await hands.press("f6", "o", "b")
        assert await hands.sees("Send back")
        await hands.fill({"station": "Diagnosis"})
        assert await hands.sees("sent back")
    unit = heat.workshop.unit(tag).unit
    assert unit.station == "diagnosis"
    assert [one.id for one in unit.open_nonconformities()] == [bad.id], "put down once"


def fed(heat: HeatShop, tag: str, folder: Path, minutes: float = 240) -> None:
    """So many minutes of a logger, kept at this moment; its rows begin when the run began."""
    path = folder / f"{tag}.csv"
    path.write_text("".join(list(lines(Bench(seconds=10), heat.now))[: int(minutes * 6)]), encoding="utf-8")
    heat.now = datetime.now(UTC)
    Follower(heat.workshop, tag, heat.tester).take_all(path)


async def test_another_terminal_watches_the_same_run(heat: HeatShop, tmp_path: Path) -> None:
    tag = heat.running()
    async with terminal(heat) as hands:
        await hands.scan(tag)
        await hands.press("f6", "o")
        assert "not in the band" in hands.text()
        fed(heat, tag, tmp_path, 100)
        assert await hands.sees("the hold began anew after")
        text = hands.text()
        assert "held 49 of 60 min" in text
        assert "will be met" in text
        assert "╌╌╌" in text


@pytest.mark.parametrize("size", [(80, 24), (160, 50)])
async def test_runs_side_by_side_and_the_rigs(heat: HeatShop, tmp_path: Path, size: tuple[int, int]) -> None:
    first = heat.running()
    second_rig = heat.workshop.registry.register_rig("Rig 2", heat.lead, 500, 48, 22e3)
    other = heat.at_load_test("A2")
    heat.workshop.heat_runs.plan(other, second_rig, heat.tester)
    fed(heat, first, tmp_path)
    async with terminal(heat, size) as hands:
        await hands.press("f3", "l")
        text = hands.text()
        assert "1 running of 2" in text
        assert any(first in line and other in line for line in text.splitlines())
        await hands.press("tab", "enter")
        assert isinstance(hands.app.screen, RunPage)
        assert hands.app.screen.tag == other
        await hands.press("escape", "r")
        text = hands.text()
        assert "■" in text and "✓ fit" in text
        await hands.press("down", "o")
        assert await hands.sees("why it is out of use")
        await hands.fill({"why": "coupling cracked"})
        assert "✗ out of use" in hands.text()
        await hands.press("g")
        assert "✗ out of use" not in hands.text()


async def test_without_colour_every_state_is_a_word(heat: HeatShop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    tag = heat.running()
    heat.workshop.heat_runs.reading(tag, heat.tester, {"U": 12, "V": 12, "W": 12, "heatsink": 90, "ambient": 23})
    async with terminal(heat) as hands:
        await hands.scan(tag)
        await hands.press("f6", "o")
        assert "✗ heatsink" in hands.text()
        assert "! heatsink is at 90 °C" in hands.text()


# ---- the curves -----------------------------------------------------------------------------------------


def dots(line: str) -> set[int]:
    """Columns of cells with a dot, by the code points of Unicode's braille block."""
    return {place for place, cell in enumerate(line[LEFT + 1 :]) if 0x2801 <= ord(cell) <= 0x28FF}


def test_a_rising_line_rises_from_left_to_right() -> None:
    drawn = plot({"U": [(float(x), float(x)) for x in range(100)]}, 40, 8)
    assert all(len(line) == 40 for line in drawn)
    middles = [sum(found) / len(found) for found in map(dots, drawn) if found]
    assert middles == sorted(middles, reverse=True)
    assert sum(len(dots(line)) for line in drawn) >= 30


def test_limits_are_drawn_in_with_their_value() -> None:
    drawn = plot({"heatsink": [(0.0, 20.0), (60.0, 40.0)]}, 40, 10, [85.0], "°")
    (limit,) = [line for line in drawn if "╌" in line]
    assert limit.startswith("    85│╌╌╌")
    assert drawn.index(limit) <= 1
    assert "h" in "".join(drawn)


def test_values_that_are_none_are_left_out() -> None:
    assert plot({"U": [(0.0, float("nan"))]}, 40, 8) == [f"{'no reading yet':40}"]
    assert plot({}, 5, 8) == ["no re"]
    assert len(plot({"U": [(0.0, 5.0), (1.0, float("nan")), (2.0, 5.0)]}, 40, 8)) == 8


async def test_pieces_of_samples_are_one_line_of_the_history_until_they_are_opened(
    heat: HeatShop, tmp_path: Path
) -> None:
    tag = heat.running()
    fed(heat, tag, tmp_path, 100)
    lines_kept = len(heat.workshop.unit(tag).entries)
    async with terminal(heat, (100, 30)) as hands:
        await hands.scan(tag)
        await hands.press("f9")
        assert await hands.sees("pieces of samples")
        table = hands.app.screen.query_one(DataTable)
        together = table.row_count
        assert f"{lines_kept} lines, newest first" in hands.text()
        assert together < lines_kept - 90
        keys = list(table.rows)
        pieces = next(n for n, key in enumerate(keys) if "pieces of" in str(table.get_row(key)[4]))
        table.move_cursor(row=pieces)
        await hands.press("enter")
        assert together < table.row_count <= lines_kept
        await hands.press("a")
        assert table.row_count == together
        await hands.press("a")
        assert table.row_count == lines_kept
    told = CliRunner().invoke(root, ["--database", heat.url, "show", tag, "--history"]).output
    assert "pieces of samples, " in told
    assert told.count("samples kept") < 5
    told = CliRunner().invoke(root, ["--database", heat.url, "show", tag, "--history", "--all"]).output
    assert told.count("samples kept") > 90
