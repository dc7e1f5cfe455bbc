"""Keystroke to painted verdict while an answer is typed, behind a scanner that sends STX, as the docs ask for, and
behind one that does not."""

from __future__ import annotations

import asyncio
import statistics
import time

from textual import events

from tests.benchmarks.large_shop import large_shop
from tests.benchmarks.painted import painted_at, since, terminal
from tests.benchmarks.row import Row, Size, peak_memory
from tests.way.hands import Hands, _has_handled
from traveller.screens.question import live_words
from traveller.screens.widgets.lines import Words
from traveller.tags.scan import STX

CASES = (((80, 24), True), ((160, 50), True), ((80, 24), False))
CHECK = "goods_in.stored_charge"
TYPED = ("4.2", "61 V", "0,35", "120", "5.55 V")
PAUSE = 0.06
"""Behind the last word of the screen, in which it would still paint (s); with it a key comes some 80 ms behind the one
before, as from a fast typist (common practice). Keys within 30 ms of each other may be a scanner's."""


def measure(size: Size) -> list[Row]:
    rounds, cases = size.choose(1, 12, 60), CASES[: size.choose(1, 3, 3)]
    return [asyncio.run(_typed(room, stx, rounds)) for room, stx in cases]


async def _typed(room: tuple[int, int], stx: bool, rounds: int) -> Row:
    shop = large_shop(100)
    async with terminal(shop.url, shop.badge, room) as hands:
        if stx:
            hands.app.post_message(events.Key("ctrl+b", STX))
        await hands.scan(shop.in_work[0])
        await hands.choose(CHECK)
        took = [ms for round_ in range(rounds) for ms in await _one_answer(hands, TYPED[round_ % len(TYPED)])]
    name = f"keystroke to painted verdict {room[0]}x{room[1]}{'' if stx else ', no STX'}, 95 of 100"
    return Row(name, statistics.quantiles(took, n=20)[-1], None, "ms", 50, peak_memory())


async def _one_answer(hands: Hands, text: str) -> list[float]:
    hands.unit().typed.value = ""
    await hands.settle()
    return [await _one_key(hands, text[: place + 1]) for place in range(len(text))]


async def _one_key(hands: Hands, text: str) -> float:
    """Milliseconds until the page shows `text` and what it says of it. Nothing here hurries the painting on."""
    page = hands.unit()
    standing = page._standing()
    assert page.view and standing
    says = live_words(page.view, standing, text, tuple(hands.app.in_hand.values()))
    verdict = page.query_one("#verdict", Words)
    began = time.perf_counter()
    hands.app.post_message(events.Key(text[-1], text[-1]))
    while page.typed.value != text or verdict.content != says or painted_at(hands) < began:
        await asyncio.sleep(0.002)
    await _has_handled(page)
    while page._layout_required or page._dirty_widgets:
        await asyncio.sleep(0.002)
    await asyncio.sleep(PAUSE)
    return since(hands, began)
