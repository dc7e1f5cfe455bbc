"""Several processes do random things to a few units at once; the record is then checked without the program's rules."""

from __future__ import annotations

import json
import random
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import closing
from dataclasses import dataclass, field
from multiprocessing import get_context
from uuid import UUID

import pytest
from sqlalchemy import text

from tests.concurrency.model import covered_unseen, released_wrongly, sound_chain
from tests.random_hands import RandomHands
from tests.small_shop import PIN, WAY, SmallShop
from tests.trials import tell, trials
from traveller.errors import Away, Refused
from traveller.store.engine import reading

PROCESSES = 4
ACTS_EACH = trials(short=45, full=2_500)
RACES = trials(short=6, full=300)
pytestmark = pytest.mark.heavy
SEED = 20260329


@dataclass
class Done:
    """What one process was told: entries that came back, and for answers the one that was seen before."""

    entries: list[tuple[str, UUID]] = field(default_factory=list)
    seen: dict[str, str | None] = field(default_factory=dict)
    refused: int = 0


def work(shop: SmallShop, tags: Sequence[str], acts: int, seed: int) -> Done:
    """In a process of its own. Every third act is an answer by somebody who has looked before."""
    terminal = shop.terminal(f"bench {seed}")
    here, chance, done = shop.at(terminal), random.Random(seed), Done()
    hands = RandomHands(here, chance)
    for _ in range(acts):
        if chance.random() < 0.33:
            _look_and_answer(here, chance, tags, done)
        else:
            hands.do_something(tags)
    terminal.close()
    done.entries += hands.done
    done.refused += hands.refused
    return done


def _look_and_answer(shop: SmallShop, chance: random.Random, tags: Sequence[str], done: Done) -> None:
    tag, check = chance.choice(tags), chance.choice(["goods_in.seen", "diagnosis.link"])
    current = shop.workshop.unit(tag).unit.current(check)
    seen = current.entry if current else None
    used = [shop.voltmeter] if check == "diagnosis.link" else []
    try:
        after = shop.workshop.answer(tag, check, WAY[check], shop.technician, used, seen=seen)
    except Refused:
        done.refused += 1
        return
    done.entries.append((tag, after.entries[-1].id))
    done.seen[str(after.entries[-1].id)] = str(seen) if seen else None


def release_or_rework(shop: SmallShop, tag: str, releases: bool, wait: float) -> str:
    """Two such processes race: one signs the unit out, which takes as long as its PIN takes, the other fits a part."""
    with closing(shop.terminal("clerk" if releases else "bench")) as terminal:
        time.sleep(wait)
        try:
            if releases:
                _as_told(lambda: terminal.release(tag, shop.clerk, PIN, "done"))
                return "released"
            _as_told(lambda: terminal.fit(tag, "Q3", shop.technician, "another transistor"))
            return "reworked"
        except Refused:
            return "refused"


def _as_told(act: Callable[[], object]) -> None:
    """A writer who waited too long on a busy machine is told that nothing was entered, and to do it again."""
    try:
        act()
    except Away as error:
        assert "wait a moment and do it again" in str(error)
        act()


def lines_of(shop: SmallShop) -> dict[str, list[tuple[int, str, str, str]]]:
    query = "SELECT subject, sequence, payload, previous, digest FROM entry ORDER BY subject, sequence"
    found: dict[str, list[tuple[int, str, str, str]]] = {}
    with reading(shop.workshop.engine) as connection:
        for subject, sequence, payload, previous, digest in connection.execute(text(query)):
            found.setdefault(subject, []).append((sequence, payload, previous, digest))
    return found


def test_many_hands_at_few_units(shop: SmallShop, capsys: pytest.CaptureFixture[str]) -> None:
    tags = [shop.booked() for _ in range(3)]
    with ProcessPoolExecutor(PROCESSES, mp_context=get_context("forkserver")) as pool:
        working = [pool.submit(work, shop, tags, ACTS_EACH, SEED + n) for n in range(PROCESSES)]
        done = [one.result() for one in working]
        raced = _race(shop, pool)
    lines = lines_of(shop)
    on_record = {(tag, json.loads(payload)["id"]) for tag, some in lines.items() for _, payload, _, _ in some}
    handed_back = [(tag, str(entry)) for one in done for tag, entry in one.entries]
    lost = [one for one in handed_back if one not in on_record]
    seen = {entry: before for one in done for entry, before in one.seen.items()}

    wrong = {tag: sound_chain(some) for tag, some in lines.items()}
    payloads = {tag: [payload for _, payload, _, _ in some] for tag, some in lines.items()}
    wrong_releases = {tag: found for tag, some in payloads.items() if (found := released_wrongly(some))}
    covered = [one for some in payloads.values() for one in covered_unseen(some, seen)]
    tell(
        capsys,
        f"{shop.workshop.engine.dialect.name}, {PROCESSES} processes on {len(tags)} units",
        acts=PROCESSES * ACTS_EACH,
        entered=len(handed_back),
        refused=sum(one.refused for one in done),
        lost=len(lost),
        covered_unseen=len(covered),
        races=RACES,
        released=raced.count("released"),
        released_wrongly=len(wrong_releases),
    )
    assert (lost, covered, wrong_releases) == ([], [], {})
    assert not any(wrong.values()), wrong
    assert len(set(handed_back)) == len(handed_back), "no entry was handed back to two"
    assert len(handed_back) > PROCESSES * ACTS_EACH / 4
    assert len(seen) > 5
    assert raced.count("released") > 0, "the first race is given to the release"
    assert shop.workshop.cards_astray() == []


def _race(shop: SmallShop, pool: ProcessPoolExecutor) -> list[str]:
    """Either the release came first and the rework was refused, or the other way round; never both."""
    outcomes: list[str] = []
    chance = random.Random(SEED)
    for number in range(RACES):
        tag = shop.ready()
        waits = (0.0, chance.choice((0.0, 0.02, 0.08, 0.3))) if number else (0.0, 5.0)
        both = [pool.submit(release_or_rework, shop, tag, not n, wait) for n, wait in enumerate(waits)]
        ended = sorted(one.result() for one in both)
        assert ended in (["refused", "released"], ["refused", "reworked"]), ended
        outcomes += ended
    return outcomes


def test_the_model_sees_what_it_is_there_to_see(shop: SmallShop) -> None:
    """Each rule of the model is broken once by hand."""
    tag = shop.ready()
    shop.workshop.release(tag, shop.clerk, PIN, "done")
    lines = lines_of(shop)[tag]
    payloads = [payload for _, payload, _, _ in lines]
    assert (sound_chain(lines), released_wrongly(payloads)) == ([], [])
    assert sound_chain([lines[0], *lines[2:]])
    assert sound_chain([(one[0], one[1].replace("Mill", "Hill"), *one[2:]) for one in lines])
    fit = next(one for one in payloads if '"work fitted"' in one)
    assert any("joints" in one for one in released_wrongly([*payloads[:-1], fit, payloads[-1]]))
    assert any("Q3" in one for one in released_wrongly([*payloads[:-1], fit, payloads[-1]]))
    assert released_wrongly([*payloads, fit]) == ["something was written behind the seal"]
    answered = next(one for one in payloads if '"goods_in.seen"' in one and '"answered"' in one)
    again = answered.replace(json.loads(answered)["id"], "later")
    assert covered_unseen([answered, again], {"later": json.loads(answered)["id"]}) == []
    assert covered_unseen([answered, again], {"later": None})
