"""What was typed and not entered outlives the program, however it ended. Source: common practice."""

from __future__ import annotations

import json
import stat
from pathlib import Path

import pytest

from tests.screens.places import fields
from tests.screens.small_shop import PIN, SmallShop
from traveller.drafts import Drafts, Place
from traveller.screens.sheet_of_fields import SheetOfFields
from traveller.terminal import home


@pytest.fixture(name="tag")
def _tag(shop: SmallShop) -> str:
    return shop.unit()


def on_the_disk() -> list[str]:
    """What a program that starts now would find."""
    return [json.loads(one.read_bytes())["words"] for one in (home() / "typed").glob("*.json")]


async def test_a_half_typed_answer_is_there_again_for_who_typed_it_and_for_nobody_else(
    shop: SmallShop, tag: str
) -> None:
    async with shop.terminal() as hands:
        await hands.scan(tag)
        check = hands.unit().chosen_check()
        await hands.paste("4, but")
        assert hands.app.drafts.flush()
        assert on_the_disk() == ["4, but"], "before anything else is pressed"
    async with shop.terminal(badge=shop.inspector) as hands:
        assert "not entered" not in hands.text()
        await hands.scan(tag)
        assert fields(hands) == [""]
    async with shop.terminal() as hands:
        assert f"Typed and not entered yet: on {tag}." in hands.text()
        await hands.scan(tag)
        assert hands.unit().chosen_check() == check
        assert fields(hands) == ["4, but"]
        await hands.press("backspace")
        assert fields(hands) == ["4, bu"], "and it goes on at its end"


async def test_what_was_entered_or_wiped_is_forgotten(shop: SmallShop, tag: str) -> None:
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.paste("hot")
        await hands.enter()
        await hands.paste("1")
        await hands.press("backspace")
        assert hands.app.drafts.flush()
        assert on_the_disk() == []


async def test_words_before_somebody_else_become_theirs(shop: SmallShop, tag: str) -> None:
    """Typed before the own badge was scanned: the words stay in the line, and whoever is signed on enters them."""
    async with shop.terminal() as hands:
        await hands.scan(tag)
        check = hands.unit().chosen_check()
        await hands.paste("warm")
        await hands.scan(shop.inspector)
        assert fields(hands) == ["warm"]
        drafts = Drafts()
        assert hands.app.drafts.flush()
        assert drafts.at(shop.inspector, Place(tag, check)) == "warm"
        assert drafts.at(shop.technician, Place(tag, check)) == ""


async def test_a_sheet_comes_back_and_a_finished_or_left_one_does_not(shop: SmallShop, tag: str) -> None:
    async def open_hold() -> SheetOfFields:
        await hands.press("f6", "h")
        assert isinstance(hands.app.screen, SheetOfFields)
        return hands.app.screen

    async with shop.terminal() as hands:
        await hands.scan(tag)
        await open_hold()
        await hands.paste("a fan from the maker")
    async with shop.terminal() as hands:
        await hands.scan(tag)
        sheet = await open_hold()
        assert fields(hands)[0] == "a fan from the maker"
        assert "was typed before and not entered" in hands.text()
        await hands.press("escape")
        await open_hold()
        assert fields(hands)[0] == ""
        await hands.fill({"reason": "no rig", "day": "2090-01-01"})
        assert hands.app.drafts.flush()
        assert on_the_disk() == []
        assert hands.app.screen is not sheet


async def test_a_pin_is_never_written_down(shop: SmallShop) -> None:
    async with shop.terminal(badge="") as hands:
        await hands.paste("Tomasz")
        await hands.enter()
        await hands.paste(PIN)
        assert hands.app.drafts.flush()
    async with shop.terminal(badge=next(one.tag for one in shop.workshop.shop().present())) as hands:
        from traveller.screens.sheet_of_fields import Line

        lines = [Line("name", "name"), Line("pin", "PIN", hidden=True)]
        hands.app.push_screen(SheetOfFields("A new person", lines, lambda _: None, lambda _: None))
        await hands.settle()
        await hands.paste("Ana")
        await hands.enter()
        await hands.paste(PIN)
        assert fields(hands) == ["Ana", PIN]
        assert hands.app.drafts.flush()
    written = [one.read_text() for one in home().rglob("*") if one.is_file() and one.suffix == ".json"]
    assert any("Ana" in one for one in written)
    assert not [one for one in written if PIN in one]


async def test_runs_that_were_counted_go_in_when_the_page_is_closed(shop: SmallShop, tag: str) -> None:
    """The web driver posts this message when its page is closed, and so does a line that breaks."""
    async with shop.terminal() as hands:
        await hands.scan(tag)
        await hands.press("f6", "k", "n")
        await hands.fill({"test": "warm start"})
        await hands.press("space", "space", "x", "space")
        await hands.app.on_exit_app()
    made = shop.workshop.unit(tag).unit.runs
    assert [(one.runs, one.failures) for test in made.values() for one in test.batches] == [(3, 1), (1, 0)]


def test_only_this_user_can_read_what_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path))
    drafts = Drafts()
    drafts.keep("P000002G", Place("U0000113", "goods_in.fault_shows"), "cold")
    assert drafts.flush()
    (file,) = (tmp_path / "typed").iterdir()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_a_disk_that_takes_nothing_loses_nothing_of_this_program(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "is a file"))
    (tmp_path / "is a file").write_text("")
    drafts, place = Drafts(), Place("U0000113", "goods_in.fault_shows")
    drafts.keep("P000002G", place, "cold")
    assert not drafts.flush()
    assert drafts.at("P000002G", place) == "cold"
    (tmp_path / "is a file").unlink()
    drafts.keep("P000002G", place, "cold, later hot")
    assert drafts.flush()
    assert Drafts().at("P000002G", place) == "cold, later hot"


def test_a_damaged_file_is_no_draft(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path))
    drafts, place = Drafts(), Place("", "Note to the shop")
    drafts.keep("P000002G", place, "[1, 2]")
    assert drafts.flush()
    (file,) = (tmp_path / "typed").iterdir()
    file.write_bytes(b"\x00\xff{")
    assert drafts.at("P000002G", place) == ""
    assert drafts.units("P000002G") == []
