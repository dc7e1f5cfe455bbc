"""Two hands at the same moment: nobody's answer is covered unseen, and nothing gets behind a release."""

from __future__ import annotations

import random
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from functools import partial
from threading import Barrier
from typing import TypeVar
from uuid import UUID

import pytest

from tests.small_shop import NOW, PIN, SmallShop
from traveller.errors import Overtaken, Refused
from traveller.record.answers import Ticked
from traveller.record.entries import Answered, Released
from traveller.record.view import UnitView, view
from traveller.store.workshop import Workshop
from traveller.vocabulary import HazardKind

TRIALS = 8

Act = Callable[[], UnitView]
Done = TypeVar("Done")


def at_once(*acts: Callable[[], Done], waits: tuple[float, ...] = (0, 0)) -> list[Done | Refused]:
    """What each act returned, or how it was refused; they start at the same moment, each after its wait."""
    start = Barrier(len(acts))

    def run(act: Callable[[], Done], wait: float) -> Done | Refused:
        start.wait(timeout=10)
        time.sleep(wait)
        try:
            return act()
        except Refused as refusal:
            return refusal

    with ThreadPoolExecutor(len(acts)) as pool:
        return list(pool.map(run, acts, waits))


def answers(shop: SmallShop, tag: str) -> list[Answered]:
    fresh = shop.terminal("fresh")
    entries = fresh.unit(tag).entries
    fresh.close()
    assert [one.sequence for one in entries] == list(range(1, len(entries) + 1))
    return [one.body for one in entries if isinstance(one.body, Answered)]


@pytest.mark.parametrize("looked", [True, False])
def test_the_same_check_answered_at_two_terminals(shop: SmallShop, looked: bool) -> None:
    """Who looked before is shown the other's answer; who did not look lays theirs on top, and both stand."""
    other = shop.terminal()
    seen: UUID | bool | None = None if looked else False

    def answering(workshop: Workshop, text: str) -> Act:
        return lambda: workshop.answer(tag, "goods_in.seen", text, shop.technician, seen=seen)

    name = shop.workshop.shop().called(shop.technician)
    for _ in range(TRIALS):
        tag = shop.booked()
        ended = at_once(answering(shop.workshop, "y"), answering(other, "n"))
        written = answers(shop, tag)
        refused = [one for one in ended if isinstance(one, Refused)]
        if not looked:
            assert (len(written), refused) == (2, [])
            continue
        ((body,), (refusal,)) = written, refused
        assert isinstance(refusal, Overtaken)
        assert isinstance(body.answer, Ticked)
        first = "yes" if body.answer.yes else "no"
        assert f"was answered a moment ago: {first} at {NOW:%H:%M} UTC by {name}" in str(refusal)
        assert isinstance(ended[0 if body.answer.yes else 1], UnitView)
    assert shop.workshop.verify() == []
    other.close()


def test_who_saw_the_answer_that_stands_lays_theirs_on_top(shop: SmallShop) -> None:
    tag = shop.booked()
    stands = shop.answer(tag, "goods_in.seen", "n").unit.current("goods_in.seen")
    assert stands
    after = shop.workshop.answer(tag, "goods_in.seen", "y", shop.technician, seen=stands.entry)
    assert after.unit.current("goods_in.seen") != stands


def reworks(shop: SmallShop, tag: str, workshop: Workshop) -> dict[str, Act]:
    """What shuts the gate again."""
    tomorrow = (NOW + timedelta(days=1)).date()
    return {
        "fit": lambda: workshop.fit(tag, "Q3", shop.technician, "another transistor"),
        "reject": lambda: workshop.reject_work(tag, "Q3", shop.inspector, "dull joint"),
        "hazard": lambda: workshop.raise_hazard(tag, HazardKind.HOT, shop.technician, "heat sink"),
        "hold": lambda: workshop.hold(tag, shop.lead, "customer rang", tomorrow),
        "question": lambda: workshop.ask(tag, shop.lead, "was the fan replaced?"),
    }


@pytest.mark.parametrize("what", ["fit", "reject", "hazard", "hold", "question"])
def test_a_release_that_races_a_rework_leaves_only_through_an_open_gate(shop: SmallShop, what: str) -> None:
    """The gate of every released unit was empty on the line before, and nothing stands behind the seal."""
    other = shop.terminal()
    chance = random.Random(what)
    released = 0
    for trial in range(TRIALS):
        tag = shop.ready()
        wait = chance.uniform(0, 0.01) if trial > 1 else (0.15, 1.0)[trial]  # the release first looks at the PIN
        waits = (0, wait) if trial % 2 else (wait, 0)
        ended = at_once(
            partial(shop.workshop.release, tag, shop.clerk, PIN, "done"),
            reworks(shop, tag, other)[what],
            waits=waits,
        )
        refused = [one for one in ended if isinstance(one, Refused)]
        assert len(refused) == 1, ended
        now = shop.workshop.unit(tag)
        assert now.entries == other.unit(tag).entries
        if now.unit.release:
            released += 1
            assert isinstance(now.entries[-1].body, Released)
            assert view(tag, now.entries[:-1], now.book, now.judges).reasons == []
            assert "sealed" in str(refused[0])
        else:
            assert not any(isinstance(one.body, Released) for one in now.entries)
            assert now.reasons
    assert shop.workshop.verify() == []
    assert 0 < released < TRIALS, "each has to win at times, or this shows nothing"
    other.close()
