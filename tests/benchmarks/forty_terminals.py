"""Forty terminals on one PostgreSQL server (fsync on), ten acts a second together, each from its moment to its answer.

Every terminal opens the database for itself, ten to a process, and works on a unit of its own: a note, then an answer;
every fifth act is a note on a unit that all of them write to. An act has its moment in a plan, and what it takes is
counted from that moment, so that nothing is hidden by an act that had to wait for the one before. Before that, each
terminal has made a note and an answer that are not counted: terminals are open for weeks. Afterwards every act that
was acknowledged is looked for in the bare lines, and every chain is walked, by the program and by the rules that the
tests say a second time.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from collections import Counter
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Protocol

from sqlalchemy import select

from tests.benchmarks.row import Row, Size, peak_memory
from tests.benchmarks.servers import durable_server
from tests.concurrency.model import sound_chain
from tests.small_shop import PLATE, SmallShop, opened
from traveller.errors import Away
from traveller.record.entries import Answered, Noted
from traveller.store import journal
from traveller.store.engine import reading
from traveller.store.tables import entry
from traveller.store.workshop import Workshop

TOGETHER_A_SECOND = 10.0
IN_A_PROCESS = 10
PATIENCE_SECONDS = 300
CHECK = "goods_in.seen"
EVERYBODYS = 5
"""Every so many acts one is on the unit that all write to."""


class StartLine(Protocol):
    def wait(self, timeout: float | None = None) -> int: ...


@dataclass(frozen=True)
class Done:
    """One act that was acknowledged: on which unit, the words of its note (empty: an answer), what it took (ms)."""

    unit: str
    words: str
    took: float


@dataclass(frozen=True)
class Plan:
    """What the terminals of one process are to do."""

    shop: SmallShop
    units: tuple[tuple[int, str], ...]
    shared: str
    terminals: int
    acts: int


_line: list[StartLine] = []


def stand_at(line: StartLine) -> None:
    _line.append(line)


def at_one_terminal(plan: Plan, number: int, unit: str, workshop: Workshop, begun: float) -> list[Done]:
    done = []
    for turn in range(plan.acts):
        moment = begun + (turn * plan.terminals + number) / TOGETHER_A_SECOND
        time.sleep(max(0.0, moment - time.monotonic()))
        everybodys = turn % EVERYBODYS == EVERYBODYS - 1
        tag = plan.shared if everybodys else unit
        words = f"act {turn} of terminal {number}" if everybodys or turn % 2 == 0 else ""
        while not acknowledged(workshop, tag, words, plan.shop.technician):
            time.sleep(1)
        done.append(Done(tag, words, (time.monotonic() - moment) * 1000))
    return done


def acknowledged(workshop: Workshop, tag: str, words: str, person: str) -> bool:
    """Whether the act came through; one that did not is done again, as a person is told to, and its time goes on."""
    try:
        if words:
            workshop.note(tag, person, words)
        else:
            workshop.answer(tag, CHECK, "y", person)
    except Away:
        return False
    return True


def at_its_terminals(plan: Plan) -> tuple[list[Done], float]:
    """What was acknowledged in this process, and its peak of memory (MB)."""
    workshops = [plan.shop.terminal(f"bench {number}") for number, _ in plan.units]
    for workshop, (_, unit) in zip(workshops, plan.units, strict=True):
        workshop.note(unit, plan.shop.technician, "the first act of a terminal that has just been started")
        workshop.answer(unit, CHECK, "y", plan.shop.technician)
    _line[0].wait(PATIENCE_SECONDS)
    begun = time.monotonic() + 0.5
    with ThreadPoolExecutor(len(workshops)) as hands:
        jobs = [
            hands.submit(at_one_terminal, plan, number, unit, workshop, begun)
            for workshop, (number, unit) in zip(workshops, plan.units, strict=True)
        ]
        done = [one for job in jobs for one in job.result()]
    for workshop in workshops:
        workshop.close()
    return done, peak_memory()


def worked(shop: SmallShop, terminals: int, acts: int) -> tuple[list[Done], float]:
    units = [
        (number, shop.workshop.book_in(shop.technician, PLATE.model_copy(update={"serial": f"A{number}"})).unit.tag)
        for number in range(terminals)
    ]
    shared = shop.booked()
    shares = [tuple(units[at : at + IN_A_PROCESS]) for at in range(0, terminals, IN_A_PROCESS)]
    spawn = get_context("spawn")
    line = spawn.Barrier(len(shares))
    with ProcessPoolExecutor(len(shares), mp_context=spawn, initializer=stand_at, initargs=(line,)) as processes:
        plans = [Plan(shop, share, shared, terminals, acts) for share in shares]
        found = list(processes.map(at_its_terminals, plans))
    return [one for done, _ in found for one in done], max(memory for _, memory in found)


def lost(shop: SmallShop, done: Iterable[Done]) -> int:
    """How many acknowledged acts are not on the record; every chain has to be sound."""
    assert shop.workshop.verify() == []
    acknowledged, kept = Counter((one.unit, one.words) for one in done), Counter[tuple[str, str]]()
    with reading(shop.workshop.engine) as connection:
        for tag in {one for one, _ in acknowledged}:
            lines = select(entry.c.sequence, entry.c.payload, entry.c.previous, entry.c.digest)
            rows = connection.execute(lines.where(entry.c.subject == tag).order_by(entry.c.sequence))
            assert sound_chain([(row.sequence, row.payload, row.previous, row.digest) for row in rows]) == []
            for one in journal.read(connection, tag):
                match one.body:
                    case Noted(text=words):
                        kept[tag, words] += 1
                    case Answered():
                        kept[tag, ""] += 1
    return (acknowledged - kept).total()


def measure(size: Size) -> list[Row]:
    terminals, seconds = size.choose(2, 40, 40), size.choose(1, 6, 60)
    acts = max(2, round(seconds * TOGETHER_A_SECOND / terminals))
    with durable_server("workshop") as (url,), tempfile.TemporaryDirectory() as folder:
        shop = opened(url, Path(folder))
        done, memory = worked(shop, terminals, acts)
        missing = lost(shop, done)
        shop.workshop.close()
    slowest = statistics.quantiles((one.took for one in done), n=100, method="inclusive")[98]
    name = f"{terminals} terminals, {len(done)} acts, {TOGETHER_A_SECOND:g} a second"
    return [
        Row(f"{name}: 99 of 100 within", slowest, None, "ms", 100, memory),
        Row(f"{name}: acknowledged and lost", missing, None, "", 0, memory),
    ]
