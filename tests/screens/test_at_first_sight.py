"""What somebody needs who never saw the program: is it taken, what is wrong, how does it go on. On 80x24."""

from __future__ import annotations

import pytest
from textual.widgets import DataTable, Input

from tests.screens.small_shop import SmallShop
from tests.screens.test_layout import seen_whole
from tests.way.hands import Hands
from traveller.screens.sheet_of_fields import SheetOfFields
from traveller.screens.widgets.typed_line import TypedLine

CHARGE = "goods_in.stored_charge"


def focused(hands: Hands) -> str:
    return hands.app.focused.id or "" if hands.app.focused else ""


async def test_a_wrong_choice_is_said_where_it_was_typed_and_the_keys_stay_in_sight(shop: SmallShop) -> None:
    async with shop.terminal() as hands:
        await hands.press("f5")
        await hands.sheet_opens()
        await hands.paste("a pump")
        await hands.enter()
        assert focused(hands) == "line-kind"
        assert '"a pump" is none of these' in hands.text()
        assert seen_whole(hands, "FixedTaps"), hands.text()
        await hands.press("ctrl+u", "3")
        assert "is none of these" not in hands.text(), "it is being put right"
        await hands.enter()
        assert hands.app.screen.query_one("#line-kind", Input).value == "servo drive", "what the 3 stands for"
        await hands.press("up", "ctrl+u", "x", "down", "f10")
        assert focused(hands) == "line-kind", "the line that is wrong is gone to"


async def test_a_line_that_may_stay_empty_says_so_beside_its_hint(shop: SmallShop) -> None:
    async with shop.terminal() as hands:
        await hands.press("f5")
        await hands.sheet_opens()
        hands.app.screen.query_one("#line-dc_link_capacitance", Input).focus()
        await hands.settle()
        assert "from the nameplate, for example 470u; may stay empty" in hands.text()


async def test_the_sheet_of_a_correction_says_what_stands_and_how_to_answer(shop: SmallShop) -> None:
    async with shop.looking_at("mend") as hands:
        await hands.press("f6", "m")
        assert "There is no answer to mend in the chosen check" in hands.text()
        assert not isinstance(hands.app.screen, SheetOfFields)
        await hands.answer("hot")
        await hands.press("up", "f6", "m")
        await hands.sheet_opens()
        assert "Mend: When does the fault show? It says: hot" in hands.text()
        assert "2 cold" in hands.text().split("what went wrong")[1].split("Enter next line")[0]


@pytest.mark.parametrize("hazards", [1, 2])
async def test_the_caution_and_the_instrument_are_in_sight_while_a_value_is_typed(
    shop: SmallShop, hazards: int
) -> None:
    tag = shop.unit(serial=f"caution-{hazards}")
    if hazards == 2:
        shop.workshop.answer(tag, "goods_in.contamination", "dust", shop.technician)
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.choose(CHARGE)
        await hands.paste("612")
        text = " ".join(hands.text().split())
        caution = hands.unit().view.book.check(CHARGE).caution  # type: ignore[union-attr]  # it is in the book
        assert caution in text
        assert "multimeter: none in hand" in text
        assert "✗ fail" in text


async def test_without_a_scanner_an_instrument_is_typed_or_taken_from_the_register(shop: SmallShop) -> None:
    async with shop.looking_at("by hand") as hands:
        await hands.choose(CHARGE)
        await hands.press(*shop.meter.lower())
        assert "Enter takes it in hand" in hands.text()
        await hands.enter()
        assert "multimeter in hand: meter 1" in hands.text()
        assert hands.unit().typed.value == ""
        hands.app.put_down()
        await hands.settle()
        assert hands.app.in_hand == {}
        hands.app.action_register()
        await hands.settle()
        table = hands.app.screen.query_one("#tags", DataTable)
        table.move_cursor(row=[str(key.value) for key in table.rows].index(shop.meter))
        await hands.enter()
        assert list(hands.app.in_hand) == ["multimeter"]


async def test_a_refusal_goes_when_it_is_put_right(shop: SmallShop) -> None:
    async with shop.looking_at("put right") as hands:
        await hands.answer("nonsense")
        assert "is not one of the choices" in hands.text()
        await hands.press("ctrl+u", "3")
        assert "is not one of the choices" not in hands.text()
        assert "✓ pass  hot" in hands.text()


async def test_choices_are_never_broken_in_the_middle(shop: SmallShop) -> None:
    async with shop.looking_at("choices") as hands:
        await hands.choose("goods_in.seen_before")
        check = hands.unit().view.book.check("goods_in.seen_before")  # type: ignore[union-attr]  # it is in the book
        assert check is not None
        for number, option in enumerate(check.options, 1):
            assert any(f"{number} {option}" in line for line in hands.text().splitlines()), hands.text()


async def test_words_typed_at_a_calculation_open_its_fields(shop: SmallShop) -> None:
    async with shop.looking_at("fields") as hands:
        await hands.press("pagedown")
        await hands.choose("diagnosis.discharge_time")
        await hands.answer("20k 560")
        await hands.sheet_opens()
        await hands.press("escape")
        await hands.press("ctrl+u")
        await hands.answer("n/a")
        assert "Say why it does not apply" in hands.text()


async def test_another_station_says_where_the_next_step_is(shop: SmallShop) -> None:
    async with shop.looking_at("elsewhere") as hands:
        assert "next When does the fault show?" in hands.text()
        await hands.press("pagedown")
        assert "next at Goods-in (Page Up): When does the fault show?" in hands.text()


async def test_a_long_name_leaves_what_is_next_in_sight(shop: SmallShop) -> None:
    async with shop.looking_at("a serial number as long as the line of a small screen is wide, and longer") as hands:
        assert hands.text().splitlines()[3].startswith(" next ")


async def test_what_was_added_to_the_register_is_the_chosen_line_and_its_class_one_that_checks_ask_for(
    shop: SmallShop,
) -> None:
    async with shop.terminal(badge=shop.lead) as hands:
        hands.app.action_register()
        await hands.settle()
        await hands.press("a", "i")
        await hands.sheet_opens()
        await hands.fill({"name": "clamp 4", "class": "leak", "due": "2090-01-01"})
        assert await hands.sees("registered")
        table = hands.app.screen.query_one("#tags", DataTable)
        assert str(table.get_row_at(table.cursor_row)[2]) == "clamp 4"
        known = shop.workshop.shop().instruments
        assert next(one.instrument_class for one in known.values() if one.name == "clamp 4") == "leakage clamp"


async def test_a_search_that_finds_nothing_keeps_the_line(shop: SmallShop) -> None:
    async with shop.terminal() as hands:
        await hands.press("f4")
        await hands.paste("zzzz")
        await hands.enter()
        await hands.press("ctrl+u", "a")
        assert hands.app.screen.query_one("#wanted", Input).value == "a"


async def test_the_first_text_that_is_pasted_shows_its_end(shop: SmallShop) -> None:
    tag = shop.unit(serial="pasted")
    words = "a fault told at length, by somebody who stood beside the machine when it tripped, to its very end"
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6", "n")
        await hands.sheet_opens()
        await hands.paste(words)
        line = hands.app.focused
        assert isinstance(line, TypedLine)
        assert line.scroll_offset.x == line.max_scroll_x > 0
        assert "to its very end" in hands.text()


async def test_a_long_line_of_a_sheet_shows_its_beginning_when_it_is_left(shop: SmallShop) -> None:
    fault = "trips on overcurrent when it is warm, and then the display stays dark"
    async with shop.terminal() as hands:
        await hands.press("f5")
        await hands.sheet_opens()
        fields = [one for one in hands.app.screen.query(Input) if one.id == "line-fault"]
        fields[0].focus()
        await hands.paste(fault)
        assert fault[-20:] in hands.text() and fault[:10] not in hands.text()
        await hands.enter()
        assert fault[:20] in hands.text()
        await hands.press("up")
        assert fault[-20:] in hands.text()


async def test_late_news_of_a_line_takes_no_refusal_away(shop: SmallShop) -> None:
    """A scan went through the line and was taken out of it again; its news come when something was refused."""
    async with shop.looking_at("late news") as hands:
        await hands.answer("nonsense")
        page = hands.unit()
        page.post_message(Input.Changed(page.typed, "nonsense4"))
        await hands.settle()
        assert "is not one of the choices" in hands.text()
        await hands.press("f5")
        await hands.sheet_opens()
        await hands.paste("a pump")
        await hands.enter()
        sheet = hands.app.screen
        sheet.post_message(Input.Changed(sheet.query_one("#line-kind", Input), "a pump4"))
        await hands.settle()
        assert '"a pump" is none of these' in hands.text()
