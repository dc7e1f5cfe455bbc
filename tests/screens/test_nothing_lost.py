"""What was typed is never lost: not by another unit, a refusal, somebody quicker, or a fault of the program."""

from __future__ import annotations

from typing import Any

import pytest
from textual.widgets import Input

from tests.screens.places import fields
from tests.screens.small_shop import SmallShop
from traveller.drafts import Place
from traveller.screens.sheet_of_fields import SheetOfFields
from traveller.store.workshop import Workshop


@pytest.fixture(name="units")
def _units(shop: SmallShop) -> tuple[str, str]:
    return shop.unit(), shop.unit(serial="8841-208")


async def test_a_half_typed_answer_outlives_every_way_of_leaving(shop: SmallShop, units: tuple[str, str]) -> None:
    tag, other = units
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.paste("4, but")
        await hands.scan(other)
        assert fields(hands) == [""]
        await hands.scan(tag)
        assert fields(hands) == ["4, but"]
        kept = "4, but"
        for keys in (["f2"], ["escape"], ["f3"], ["f8", "f2"], ["down", "up"]):
            await hands.paste("!")
            kept += "!"
            await hands.press(*keys)
            await hands.scan(tag)
            assert fields(hands) == [kept], keys
            assert hands.unit().typed.has_focus


async def test_arrows_wait_for_what_was_typed_before_them(shop: SmallShop, units: tuple[str, str]) -> None:
    """Keys that a busy terminal takes all at once: the character belongs to the check it was typed for."""
    async with shop.terminal() as hands:
        await hands.scan(units[0])
        first = hands.unit().chosen_check()
        await hands.burst("4", "down")
        assert hands.unit().chosen_check() != first
        assert fields(hands) == [""]
        assert hands.app.drafts.at(shop.technician, Place(units[0], first)) == "4"


async def test_a_refused_answer_stays_in_the_line(shop: SmallShop, units: tuple[str, str]) -> None:
    async with shop.terminal() as hands:
        await hands.scan(units[0])
        await hands.paste("seventeen")
        await hands.enter()
        assert fields(hands) == ["seventeen"]
        assert "! " in hands.text().splitlines()[-2] + hands.text().splitlines()[-3]
        assert hands.unit().typed.has_focus


async def test_a_refused_sheet_keeps_its_fields(shop: SmallShop, units: tuple[str, str]) -> None:
    async with shop.terminal() as hands:
        await hands.scan(units[0])
        await hands.press("f6", "h")
        sheet = hands.app.screen
        sheet.query_one("#line-reason", Input).value = "a fan from the maker"
        sheet.query_one("#line-day", Input).value = "tomorrow"
        await hands.press("f10")
        assert hands.app.screen is sheet
        assert fields(hands) == ["a fan from the maker", "tomorrow"]
        assert "2026-12-31" in hands.text()
        sheet.query_one("#line-day", Input).value = "2090-01-01"
        await hands.press("f10")
        assert hands.unit().typed.has_focus
        assert "on hold: a fan from the maker" in hands.text()


async def test_who_was_overtaken_sees_the_other_answer_and_keeps_his(shop: SmallShop, units: tuple[str, str]) -> None:
    check = "goods_in.months_without_power"
    async with shop.terminal() as hands:
        await hands.scan(units[0])
        await hands.choose(check)
        await hands.paste("30")
        shop.workshop.answer(units[0], check, "7", shop.technician)
        await hands.enter()
        assert fields(hands) == ["30"]
        row = next(line for line in hands.text().splitlines() if "Months since" in line)
        assert "✓ pass" in row
        assert "7" in row.split()
        assert len(shop.workshop.unit(units[0]).unit.answers[check]) == 1
        await hands.enter()
        assert len(shop.workshop.unit(units[0]).unit.answers[check]) == 2, "with both in view, Enter enters it"


async def test_a_fault_of_the_program_is_a_sentence(
    shop: SmallShop, units: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_args: Any, **_words: Any) -> None:
        raise RuntimeError("a cable was pulled")

    async with shop.terminal() as hands:
        await hands.scan(units[0])
        await hands.paste("hot")
        for method, key in {"answer": "enter", "move_on": "f10", "unit": "f8", "floor": "f3"}.items():
            with monkeypatch.context() as patched:
                patched.setattr(Workshop, method, broken)
                await hands.press(key)
                words = " ".join(hands.text().split())
                assert "Something unforeseen happened" in words, method
                assert "RuntimeError" not in words
                assert "cable" not in words
            if key in ("f8", "f3"):
                await hands.press("escape")
            hands.app.tell("")
        assert fields(hands) == ["hot"]
        await hands.enter()
        assert shop.workshop.unit(units[0]).unit.current("goods_in.fault_shows") is not None


async def test_a_sheet_is_entered_by_whose_badge_is_signed_on_then(shop: SmallShop, units: tuple[str, str]) -> None:
    async with shop.terminal() as hands:
        await hands.scan(units[0])
        await hands.press("f6", "n")
        await hands.paste("next: the fan")
        await hands.scan(shop.inspector)
        assert isinstance(hands.app.screen, SheetOfFields)
        await hands.press("f10")
        note = shop.workshop.unit(units[0]).unit.notes[-1]
        assert note.by == shop.inspector


async def test_calculation_fields_take_the_focus_and_give_it_back(shop: SmallShop, units: tuple[str, str]) -> None:
    async with shop.terminal() as hands:
        await hands.scan(units[0])
        await hands.press("pagedown")
        await hands.choose("diagnosis.discharge_time")
        await hands.enter()
        assert isinstance(hands.app.focused, Input)
        await hands.press("escape")
        assert hands.unit().typed.has_focus


async def test_coming_back_to_a_line_goes_on_where_it_ended(shop: SmallShop, units: tuple[str, str]) -> None:
    """A field that selects its words when it gets the focus loses them with the next key."""
    async with shop.terminal() as hands:
        await hands.scan(units[0])
        await hands.paste("4")
        await hands.press("f9", "escape", ".", "2")
        assert fields(hands) == ["4.2"]
        await hands.press("f6", "h")
        await hands.paste("a fan")
        await hands.press("down", "up", "s")
        assert fields(hands) == ["a fans", ""]
