"""At the terminal the database goes away and comes back: nothing typed is lost, and both versions are shown."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy import Connection, event

from tests.screens.places import fields
from tests.screens.small_shop import SmallShop
from tests.way.hands import Hands
from traveller.errors import Away
from traveller.screens.kept import KeptPage

CHECK = "goods_in.months_without_power"


@contextmanager
def away(hands: Hands) -> Iterator[None]:
    """The cable of this terminal is out."""

    def out(_connection: Connection) -> None:
        raise Away("The cable is out.")

    engine = hands.app.workshop.engine
    event.listen(engine, "engine_connect", out)
    try:
        yield
    finally:
        event.remove(engine, "engine_connect", out)


async def opened(hands: Hands, shop: SmallShop) -> str:
    tag = shop.unit()
    await hands.scan(tag)
    await hands.choose(CHECK)
    return tag


async def share(hands: Hands) -> None:
    hands.app.share_kept()
    await hands.settle()


async def overtaken(hands: Hands, shop: SmallShop) -> str:
    """What was answered here while away was answered otherwise at another terminal meanwhile."""
    tag = await opened(hands, shop)
    with away(hands):
        await hands.paste("30")
        await hands.enter()
        shop.workshop.answer(tag, CHECK, "7", shop.technician)
    await share(hands)
    return tag


def words(hands: Hands) -> str:
    return " ".join(hands.text().split())


async def test_what_is_typed_while_away_is_shown_as_kept_and_shared_on_return(shop: SmallShop) -> None:
    async with shop.terminal() as hands:
        tag = await opened(hands, shop)
        with away(hands):
            await hands.paste("4")
            await hands.enter()
            await hands.press("f6", "n")
            await hands.fill({"text": "the fan rattles"})
            assert "⇡ kept here, not yet shared: 2" in hands.text()
            assert "! database away since" in hands.text().splitlines()[0]
            assert "⇡ kept" in next(line for line in hands.text().splitlines() if "Months since" in line)
            assert shop.workshop.unit(tag).unit.current(CHECK) is None
            await hands.press("f9")
            assert "kept here, not yet shared" in words(hands)
            await hands.press("escape", "f10")
            assert "needs the database, and nothing was entered" in words(hands)
        await share(hands)
        now = shop.workshop.unit(tag)
        assert now.unit.current(CHECK) is not None
        assert len(now.unit.notes) == 1
        assert "2 that were kept here are on the record now." in words(hands)
        assert "⇡" not in hands.text()


async def test_a_conflict_comes_back_with_both_versions_and_enter_puts_ours_on_top(shop: SmallShop) -> None:
    async with shop.terminal() as hands:
        tag = await overtaken(hands, shop)
        assert "? to decide: 1, Ctrl+O" in hands.text().splitlines()[0]
        await hands.press("ctrl+o")
        assert isinstance(hands.app.screen, KeptPage)
        assert "yours: Months since it last had power: 30, " in words(hands)
        assert "on the record: answered" in words(hands)
        assert "Enter puts yours on top" in words(hands)
        await hands.enter()
        assert "yours is on the record, on top" in words(hands)
        current = shop.workshop.unit(tag).unit.current(CHECK)
        assert current
        assert len(shop.workshop.unit(tag).unit.answers[CHECK]) == 2
        assert "Nothing is kept here" in words(hands)


async def test_dropping_asks_for_a_reason(shop: SmallShop) -> None:
    async with shop.terminal() as hands:
        tag = await overtaken(hands, shop)
        await hands.press("ctrl+o", "d")
        await hands.press("f10")
        assert "still empty" in words(hands)
        await hands.fill({"because": "theirs is from the label"})
        await hands.settle()
        assert "dropped.jsonl" in words(hands)
        assert len(shop.workshop.unit(tag).unit.answers[CHECK]) == 1
        assert hands.app.workshop.keeping.questions() == []


async def test_a_refusal_while_away_leaves_the_words_in_the_line(shop: SmallShop) -> None:
    async with shop.terminal() as hands:
        await opened(hands, shop)
        with away(hands):
            await hands.paste("seventeen")
            await hands.enter()
            assert fields(hands) == ["seventeen"]
            assert hands.app.workshop.keeping.waiting() == []
            await hands.press("f3")
            assert "! database away since" in hands.text().splitlines()[0]


@pytest.mark.parametrize("step", ["open", "workshop"], ids=["before its people are known", "while the rest is loaded"])
async def test_a_terminal_that_is_started_while_away_opens_when_the_database_is_back(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    from traveller.store.door import Door

    real, tries = getattr(Door, step), []

    def later(*given: object, **words: object) -> object:
        tries.append(1)
        if len(tries) < 3:
            raise Away("The server is not there.")
        return real(*given, **words)

    monkeypatch.setattr(Door, step, later)
    monkeypatch.setattr("traveller.screens.opening.LOOK_SECONDS", 0.05)
    async with shop.terminal() as hands:
        assert len(tries) == 3
        assert "goods-in" in hands.text().lower()
