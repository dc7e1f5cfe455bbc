"""The change of shift at two terminals: brief, giving, taking, by keys alone on 80x24."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.screens.small_shop import PIN, SmallShop, lay_out
from tests.way.hands import Hands
from traveller.record.acts.handover import Wording
from traveller.record.brief.matter import Section
from traveller.record.entries import Noted
from traveller.record.saying import said
from traveller.screens.handover.draft import Draft, kept_draft
from traveller.screens.handover.rows import RowList
from traveller.vocabulary import HazardKind, Role


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[SmallShop]:
    laid_out = lay_out(tmp_path)
    yield laid_out
    laid_out.workshop.close()


def live_unit(shop: SmallShop) -> str:
    tag = shop.unit()
    shop.workshop.raise_hazard(tag, HazardKind.HOT, shop.technician, "heat sink, cover off")
    return tag


async def fill(hands: Hands, values: dict[str, str]) -> None:
    """Once the sheet lies there: a busy machine draws it late."""
    await hands.sheet_opens()
    await hands.fill(values)


async def choose(hands: Hands, words: str) -> None:
    """With the arrows, until the row with these words is the chosen one."""
    rows = hands.app.screen.query_one(RowList)
    for _ in range(60):
        chosen = rows.get_row_at(rows.cursor_row)
        if any(words in str(cell) for cell in chosen):
            return
        await hands.press("down")
    raise AssertionError(f"{words} was not reached:\n{hands.text()}")


async def test_the_brief_shows_dangers_first_and_opens_the_unit(shop: SmallShop) -> None:
    tag = live_unit(shop)
    shop.workshop.ask(tag, shop.technician, "which fan?")
    async with shop.terminal() as hands:
        await hands.press("f11")
        text = hands.text()
        assert text.index("1 ! DANGEROUS NOW (2)") < text.index(tag) < text.index("2 running now (0)")
        assert "HOT: heat sink, cover off" in text
        await hands.press("7")
        await choose(hands, "which fan?")
        assert await hands.sees("Tomasz Reyes")
        await hands.press("r")
        await fill(hands, {"text": "the left one"})
        assert await hands.sees("asked (0)")
        assert not shop.workshop.unit(tag).unit.open_questions()
        await hands.press("1", "enter")
        assert hands.unit().tag == tag
        await hands.press("f11")
        assert await hands.sees("DANGEROUS NOW")


async def test_a_filter_says_what_it_keeps_back(shop: SmallShop) -> None:
    live_unit(shop)
    async with shop.terminal() as hands:
        await hands.press("f11", "f")
        await fill(hands, {"station": "Dispatch"})
        assert await hands.sees("only station dispatch: 3 lines kept back, 2 of them DANGEROUS")
        await hands.press("f")
        await fill(hands, {"station": ""})
        assert "kept back" not in hands.text()


async def test_a_whole_handover_through_two_terminals(shop: SmallShop) -> None:
    tag = live_unit(shop)
    async with shop.terminal(badge=shop.lead) as giving:
        await giving.press("f11", "h")
        assert await giving.sees("LIVE")
        await choose(giving, "heat sink")
        await giving.press("space")
        assert await giving.sees("always handed over")
        await giving.press("w")
        await fill(giving, {"text": "cools down, look at seven"})
        assert await giving.sees("» cools down")
        await giving.press("f10")
        assert await giving.sees("who takes over")
        await giving.press("f10")
        assert await giving.sees("Something live cannot be passed")
        await fill(giving, {"to": "tomasz", "words": "quiet shift", "met": "y"})
        assert await giving.sees("2 items handed over")
        assert kept_draft(shop.lead) == Draft()
        await giving.press("f3")
        assert await giving.sees("! nobody accepted 2 items, 2 of them live")
    async with shop.terminal() as taking:
        assert await taking.sees("handover: 2 items wait for your crew – F11")
        await taking.press("f11", "a")
        assert await taking.sees("2 items to take over, for you")
        await choose(taking, "heat sink")
        assert await taking.sees("quiet shift") and await taking.sees("talked through")
        await taking.press("q")
        await fill(taking, {"text": "which side?"})
        assert await taking.sees("? asked")
        await taking.press("a")
        assert await taking.sees("has a question that waits")
        await taking.press("w")
        await fill(taking, {"text": "left side, she showed me"})
        await choose(taking, "STORED")
        await taking.press("t")
        assert await taking.sees("Nothing waits to be accepted.")
        await taking.press("f2")
        assert "handover:" not in taking.text()
    items = shop.workshop.shop().handovers.items.values()
    assert [(one.state, one.talked) for one in items if "HOT" in one.item.says] == [("accepted", False)]
    assert all(one.item.unit == tag for one in items)


async def test_what_one_letter_accepted_is_taken_back(shop: SmallShop) -> None:
    live_unit(shop)
    shop.workshop.handovers.prepare(shop.lead, Wording(receiver=shop.technician))
    async with shop.terminal() as taking:
        await taking.press("f11", "a", "u")
        assert await taking.sees("Nothing was accepted here that could be taken back.")
        await choose(taking, "heat sink")
        await taking.press("a")
        assert await taking.sees("is yours. A slip? u takes it back")
        await taking.press("u")
        await fill(taking, {"text": "not looked at yet"})
        assert await taking.sees("It waits again, with your question")
        assert await taking.sees("? asked")
    waiting = shop.workshop.shop().handovers.open_items()
    assert [one.question for one in waiting if "HOT" in one.item.says] == ["not looked at yet"]


async def test_what_was_written_outlives_a_power_cut(shop: SmallShop) -> None:
    live_unit(shop)
    async with shop.terminal(badge=shop.lead) as hands:
        await hands.press("f11", "h")
        await choose(hands, "heat sink")
        await hands.press("w")
        await fill(hands, {"text": "cools down"})
    async with shop.terminal(badge=shop.lead) as hands:
        await hands.press("f11", "h")
        assert await hands.sees("» cools down")


async def test_the_slower_of_two_leads_is_told_and_keeps_the_words(shop: SmallShop) -> None:
    live_unit(shop)
    second = shop.workshop.registry.enrol("Second Lead", [Role.LEAD], PIN, shop.lead)
    async with shop.terminal(badge=shop.lead) as hands:
        await hands.press("f11", "h")
        shop.workshop.handovers.prepare(second, Wording(receiver=shop.technician))
        await hands.press("f10")
        assert await hands.sees("who takes over")
        sheet = hands.app.screen
        for name, words in (("to", "tomasz"), ("words", "mine too")):
            sheet.query_one(f"#line-{name}").focus()
            await hands.paste(words)
        await hands.press("f10")
        assert await hands.sees("Second Lead has handed over")
        await hands.press("escape", "f10")
        assert await hands.sees("mine too") and await hands.sees("as well")
        await hands.press("f10")
        assert len(shop.workshop.handovers.waiting().given) == 2


async def test_a_note_to_the_shop_and_its_seeing(shop: SmallShop) -> None:
    async with shop.terminal() as hands:
        await hands.press("f11", "n")
        await fill(hands, {"text": "crane out of order", "watch": "nobody lifts alone"})
        await hands.press("8")
        assert await hands.sees("crane out of order; watch: nobody lifts alone")
        await hands.press("s")
        assert await hands.sees("notes (0)")
        await hands.press("n")
        await fill(hands, {"text": "who has the key?", "question": "y"})
        assert await hands.sees("asked (1)")


async def test_the_brief_is_printed_to_a_file(shop: SmallShop, tmp_path: Path) -> None:
    async with shop.terminal() as hands:
        await hands.press("f11", "p")
        assert await hands.sees("printed to")
        (paper,) = (tmp_path / "home" / "papers").glob("brief-*.pdf")
        assert paper.read_bytes().startswith(b"%PDF")


async def test_news_from_elsewhere_comes_onto_the_brief(shop: SmallShop) -> None:
    tag = shop.unit()
    async with shop.terminal() as hands:
        await hands.press("f11")
        shop.workshop.raise_hazard(tag, HazardKind.HOT, shop.technician, "it got hot")
        assert await hands.sees("HOT: it got hot")


async def test_what_a_station_began_is_one_item_and_each_unit_is_reached(shop: SmallShop) -> None:
    first, second = shop.unit(), shop.unit()
    for tag in (first, second):
        shop.workshop.clear_hazard(tag, HazardKind.STORED_CHARGE, shop.technician, "0.4 V between the bars")
        shop.workshop.answer(tag, "goods_in.fault_shows", "hot", shop.technician)
    async with shop.terminal(badge=shop.lead) as hands:
        await hands.press("f11", "h")
        await choose(hands, "goods in: 2 units begun")
        assert await hands.sees("2 units · open across the shift · Enter lists them")
        await hands.press("enter")
        assert await hands.sees("Which unit?")
        await hands.press("2")
        assert await hands.sees(second)
    shop.workshop.handovers.prepare(shop.lead, Wording(words="quiet"))
    async with shop.terminal() as taking:
        await taking.press("f11", "4", "enter")
        await choose(taking, "2 units")
        await taking.press("r")
        assert await taking.sees("Nobody has asked about item 1")
        await taking.press("up", "a")
        assert await taking.sees("That is a heading")
        await taking.press("down", "enter", "1")
        assert await taking.sees(first)
        await taking.press("escape", "a")
        assert await taking.sees("Nothing waits to be accepted.")


async def test_a_note_on_a_unit_in_its_parts_stands_in_the_brief_and_one_line_is_enough(shop: SmallShop) -> None:
    tag = shop.unit()
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6", "n")
        await fill(hands, {"watch": "fan rattles", "whom": "dispatch, B"})
        assert await hands.sees("noted")
        await hands.press("f6", "n", "f10")
        assert await hands.sees("Say what is to be noted")
    (note,) = shop.workshop.unit(tag).unit.notes
    assert said(note) == "watch: fan rattles"
    assert isinstance(note.body, Noted) and note.body.for_whom == ("dispatch", "B")
    lines = shop.workshop.briefing.brief().under(Section.NOTE)
    assert [line.says for line in lines] == ["watch: fan rattles"]


async def test_what_was_said_to_one_person_is_gone_when_the_next_sees_the_page(shop: SmallShop) -> None:
    async with shop.terminal() as hands:
        assert await hands.sees("Tomasz Reyes is signed on")
        await hands.press("f11")
        await hands.scan(shop.lead)
        await hands.press("f2")
        assert await hands.sees("bench")
        assert "Tomasz Reyes is signed on" not in hands.text()
