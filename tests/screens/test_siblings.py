"""Siblings, traces and counted runs at the terminal: by keyboard, complete at 80 by 24, no press lost."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from textual.widgets import Digits

from tests.screens.small_shop import SmallShop
from tests.way.answers import SOUND
from tests.way.hands import Hands
from traveller.errors import NotReachable
from traveller.record.entries import Noted
from traveller.record.runs import tally
from traveller.record.view import UnitView
from traveller.screens import runs as runs_page
from traveller.store.measuring import Measuring
from traveller.vocabulary import UnitKind

SIX = "Q1,Q2,Q3,Q4,Q5,Q6"
ROWS = (
    ("diode C-E", "V", "0.42 0.41 0.43 OL 0.42 0.42"),
    ("diode E-C", "V", "0.52 0.51 0.53 0.52 0.52 0.52"),
    ("gate resistance", "Ω", "10 10.1 9.9 10 10 10"),
    ("leakage", "A", "1u 1.1u 0.9u 40u 1u 1u"),
    ("gate to heat sink, in kilohms", "Ω", "999k 999k 999k 999k 999k 999k"),
    ("snubber", "F", "100n 101n 99n 100n 100n 100n"),
    ("driver supply", "V", "15.1 15 15.2 15 15 15"),
    ("driver output", "V", "-8.1 -8 -8.2 -8 -8 -8"),
)


def a_unit(shop: SmallShop, kind: UnitKind = UnitKind.AC_DRIVE, serial: str = "1") -> str:
    return shop.unit(kind, serial)


def diagnosing(shop: SmallShop, serial: str) -> str:
    """A drive that has come as far as diagnosis."""
    tag, workshop = shop.unit(serial=serial), shop.workshop
    while first := workshop.unit(tag).first_open("goods_in"):
        check = first.check.full_key
        workshop.answer(tag, check, SOUND[check].format(tag=tag), shop.technician, [shop.meter])
    workshop.move_on(tag, shop.technician)
    return tag


def with_a_suspect(shop: SmallShop, tag: str) -> str:
    """Its six devices are measured, and Q4 is the odd one out."""
    row, unit, readings = ROWS[0]
    shop.workshop.measuring.siblings(
        tag, shop.technician, "power stage", row, readings, devices=SIX.split(","), unit=unit
    )
    return tag


async def opened(hands: Hands, *keys: str) -> None:
    """Press the keys, and wait until a sheet lies on top."""
    await hands.press(*keys)
    await hands.sheet_opens()


async def on_siblings(hands: Hands, tag: str) -> None:
    await hands.scan(tag)
    await hands.press("f6", "t")


async def test_a_late_instrument_at_a_set_is_told(shop: SmallShop) -> None:
    tag = shop.unit(serial="late")
    async with shop.terminal() as hands:
        for meter, told in ((shop.meter, False), (shop.late_meter, True)):
            row, unit, readings = ROWS[0]
            shop.workshop.measuring.siblings(
                tag, shop.technician, "set", row, readings, devices=SIX.split(","), unit=unit, instruments=[meter]
            )
            await on_siblings(hands, tag)
            await hands.sees("Q6")
            assert ("was out of calibration: the row does not count" in hands.text()) is told, hands.text()


@pytest.mark.parametrize("size", [(80, 24), (100, 30)])
async def test_six_devices_by_eight_rows_are_all_in_sight(shop: SmallShop, size: tuple[int, int]) -> None:
    tag = a_unit(shop, serial=f"six-{size[0]}")
    async with shop.terminal(size) as hands:
        await on_siblings(hands, tag)
        assert "nothing is measured" in hands.text()
        await opened(hands, "s")
        await hands.fill(
            {"set": "power stage", "devices": SIX, "row": ROWS[0][0], "unit": ROWS[0][1], "readings": ROWS[0][2]}
        )
        for row, unit, readings in ROWS[1:]:
            await opened(hands, "a")
            await hands.fill({"row": row, "unit": unit, "readings": readings})
        await hands.press("home", *["up"] * 8)
        seen = hands.text()
        assert "◆ Q4 is the odd one out in 2 of 8 rows (diode C-E, leakage)" in seen
        for row, unit, _readings in ROWS:
            assert row[:11] in seen, seen
            assert f", {unit}" in seen
        bars = [line for line in seen.splitlines() if "┃" in line]
        assert len(bars) == 6
        assert len({line.index("┃") for line in bars}) == 1, "the median is one line"
        assert [line.split()[1] for line in bars if "odd" in line] == ["Q4"]
        assert "OL ◆odd" in seen
        assert "Q4 is the odd one out, over range" in seen
        assert "within 5 % of the median, common practice" in " ".join(seen.split())
        assert "Esc back" in seen.splitlines()[-1]
        assert len(seen.splitlines()) <= size[1]


async def test_a_cell_is_typed_anew_and_the_earlier_row_stays(shop: SmallShop) -> None:
    tag = with_a_suspect(shop, a_unit(shop, serial="cell"))
    async with shop.terminal() as hands:
        await on_siblings(hands, tag)
        await opened(hands, "c")
        await hands.fill({"d3": "0.42"})
        assert "no odd one out in 1 row" in hands.text()
    row = shop.workshop.unit(tag).unit.siblings["power stage"].rows["diode c-e"]
    assert [one.suspect for one in row.earlier] == ["Q4"]


async def test_what_is_refused_stays_in_the_sheet(shop: SmallShop) -> None:
    tag = a_unit(shop, serial="refused")
    async with shop.terminal() as hands:
        await on_siblings(hands, tag)
        await opened(hands, "s")
        with pytest.raises(AssertionError):
            await hands.fill({"set": "power stage", "devices": SIX, "row": "diode", "readings": "0.42 0.41"})
        assert "6 values are expected" in hands.text()
        assert "0.42 0.41" in hands.text()


async def test_one_key_takes_it_into_the_findings_and_offers_the_failed_part(shop: SmallShop) -> None:
    tag = with_a_suspect(shop, diagnosing(shop, "findings"))
    async with shop.terminal() as hands:
        await on_siblings(hands, tag)
        await opened(hands, "f")
        assert "Failed part Q4 for the work list?" in hands.text()
        assert shop.workshop.unit(tag).unit.work == {}, "nothing is planned before it is asked"
        await hands.fill({"part": "IGBT module"})
    unit = shop.workshop.unit(tag).unit
    assert [unit.work[one].reason for one in SIX.split(",")] == ["matched set"] * 3 + ["failed"] + ["matched set"] * 2
    assert {line.matched_set for line in unit.work.values()} == {"power stage"}
    evidence = unit.current("diagnosis.siblings")
    assert evidence is not None
    assert evidence.finding is not None
    assert evidence.finding.verdict == "fail"
    note = unit.notes[-1].body
    assert isinstance(note, Noted)
    assert "Q4 is the odd one out" in note.text


async def test_leaving_the_offer_plans_nothing(shop: SmallShop) -> None:
    tag = with_a_suspect(shop, diagnosing(shop, "no plan"))
    async with shop.terminal() as hands:
        await on_siblings(hands, tag)
        await opened(hands, "f")
        await hands.press("escape")
    assert shop.workshop.unit(tag).unit.work == {}


# ---- traces ---------------------------------------------------------------------------------------------


def saved(folder: Path, name: str, scale: float, bump: float = 0.0) -> Path:
    path = folder / f"{name}.csv"
    volts = [step / 100 for step in range(-100, 101)]
    bumps = (bump * math.exp(-(((v - 0.5) / 0.1) ** 2)) for v in volts)
    points = [(v, scale * 1e-3 * math.expm1(max(v, 0) / 0.3) + more) for v, more in zip(volts, bumps, strict=True)]
    path.write_text("V,A\n" + "\n".join(f"{v},{a!r}" for v, a in points), encoding="utf-8")
    return path


async def test_the_suspect_over_the_reference_with_the_worst_point_in_words(shop: SmallShop, tmp_path: Path) -> None:
    for number, scale in enumerate((0.99, 1.0, 1.01)):
        other = a_unit(shop, UnitKind.CIRCUIT_BOARD, f"good-{number}")
        path = saved(tmp_path, f"good{number}", scale)
        shop.workshop.measuring.trace(other, shop.technician, "U7.3", "good", str(path))
    tag = a_unit(shop, UnitKind.CIRCUIT_BOARD, "suspect")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6", "g")
        await opened(hands, "s")
        await hands.fill({"node": "u7.3", "file": str(saved(tmp_path, "suspect", 1.0, 0.004))})
        seen = hands.text()
        assert "✗ fail" in seen
        assert "worst, 0.5 V" in seen
        assert "▼" in seen
        assert "limit 2.02 %, learned from 3 good traces of this model at this node" in seen
        assert "· reference" in seen
        assert "• suspect" in seen
        assert "Esc back" in seen.splitlines()[-1]


async def test_below_three_good_siblings_it_says_that_there_is_no_limit(shop: SmallShop, tmp_path: Path) -> None:
    tag = a_unit(shop, UnitKind.OPERATOR_PANEL, "alone")
    shop.workshop.measuring.trace(tag, shop.technician, "U1.1", "good", str(saved(tmp_path, "a", 1.0)))
    shop.workshop.measuring.trace(tag, shop.technician, "U1.1", "suspect", str(saved(tmp_path, "b", 1.01)))
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6", "g")
        assert "? undecided" in hands.text()
        assert "no limit: 1 good trace" in hands.text()


# ---- runs -----------------------------------------------------------------------------------------------


async def on_runs(hands: Hands, tag: str, test: str = "warm start") -> None:
    await hands.scan(tag)
    await hands.press("f6", "k")
    await opened(hands, "n")
    await hands.fill({"test": test})


def counts(shop: SmallShop, tag: str) -> list[tuple[int, int]]:
    """Runs and failures of each entry."""
    bodies = [one.body for one in shop.workshop.unit(tag).entries]
    return [(one.runs, one.failures) for one in bodies if one.kind == "runs counted"]


async def test_presses_are_counted_here_and_entered_by_twenties_and_with_each_failure(shop: SmallShop) -> None:
    tag = a_unit(shop, serial="runs-1")
    async with shop.terminal() as hands:
        await on_runs(hands, tag)
        await hands.rounds(20, "space")
        assert await hands.comes(lambda: counts(shop, tag) == [(20, 0)]), counts(shop, tag)
        await hands.rounds(3, "space")
        assert await hands.comes(lambda: counts(shop, tag) == [(20, 0)]), counts(shop, tag)
        assert hands.app.screen.query_one("#made", Digits).value == "23"
        await hands.press("x")
        assert await hands.comes(lambda: counts(shop, tag) == [(20, 0), (4, 1)]), counts(shop, tag)
        assert "the fault is there" in hands.text()
        assert hands.app.screen.query_one("#failed", Digits).value == "1"


async def test_leaving_the_page_enters_what_was_pressed(shop: SmallShop) -> None:
    tag, other = a_unit(shop, serial="runs-2"), a_unit(shop, serial="runs-3")
    async with shop.terminal() as hands:
        await on_runs(hands, tag)
        await hands.rounds(3, "space")
        await hands.press("escape")
        assert await hands.comes(lambda: counts(shop, tag) == [(3, 0)]), counts(shop, tag)
        await hands.press("f6", "k")
        await hands.rounds(2, "plus")
        await hands.scan(other)
        assert await hands.comes(lambda: counts(shop, tag) == [(3, 0), (2, 0)]), counts(shop, tag)


async def test_quitting_enters_what_was_pressed(shop: SmallShop) -> None:
    tag = a_unit(shop, serial="runs-4")
    async with shop.terminal() as hands:
        await on_runs(hands, tag)
        await hands.rounds(3, "space")
        await hands.app.action_quit()
    assert counts(shop, tag) == [(3, 0)]


async def test_after_a_while_it_is_entered_without_a_key(shop: SmallShop, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(runs_page, "EVERY", 0.3)
    tag = a_unit(shop, serial="runs-5")
    async with shop.terminal() as hands:
        await on_runs(hands, tag)
        await hands.rounds(2, "space")
        assert await hands.comes(lambda: sum(made for made, _failed in counts(shop, tag)) == 2), counts(shop, tag)


async def test_the_last_press_is_taken_back_here_or_from_the_record(shop: SmallShop) -> None:
    tag = a_unit(shop, serial="runs-6")
    async with shop.terminal() as hands:
        await on_runs(hands, tag)
        await hands.press("space", "space", "backspace")
        assert hands.app.screen.query_one("#made", Digits).value == "1"
        await hands.press("x", "backspace")
        assert hands.app.screen.query_one("#failed", Digits).value == "0"
        test = shop.workshop.unit(tag).unit.runs["warm start"]
        assert (tally(test.batches).runs, tally(test.batches).failures) == (1, 0)


async def test_what_cannot_be_entered_stays_at_the_terminal_and_goes_in_once(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    tag = a_unit(shop, serial="runs-7")

    def gone(*_given: object) -> UnitView:
        raise NotReachable("The database cannot be reached.")

    async with shop.terminal() as hands:
        await on_runs(hands, tag)
        with monkeypatch.context() as broken:
            broken.setattr(Measuring, "runs", gone)
            await hands.press("space", "space", "x", "space")
            assert "Kept at this terminal: " in " ".join(hands.text().split())
            await hands.press("escape")
        assert counts(shop, tag) == []
        await hands.press("f6", "k")
        assert hands.app.screen.query_one("#made", Digits).value == "4"
        await hands.press("escape")
        assert await hands.comes(lambda: counts(shop, tag) == [(3, 1), (1, 0)]), counts(shop, tag)
