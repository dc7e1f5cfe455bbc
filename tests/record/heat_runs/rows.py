"""A plan of one load motor, and runs made of rows as a logger would send them, without a database."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from uuid import UUID

from traveller.record.heat_runs.cells import cells_of
from traveller.record.heat_runs.channels import Channel
from traveller.record.heat_runs.columns import columns_of, mapped
from traveller.record.heat_runs.intake import Batch, Intake
from traveller.record.heat_runs.plan import Plan, Step
from traveller.record.heat_runs.run import Run
from traveller.store.chunks import chunk, packed

START = datetime(2031, 3, 3, 6, 0, tzinfo=UTC)
PLAN = Plan(
    steps=(
        Step(percent=25, minutes=10),
        Step(percent=50, minutes=10),
        Step(percent=75, minutes=10),
        Step(percent=100, minutes=60, what="hold"),
    ),
    channels=(
        Channel(name="U", quantity="current", rated=12, load=True),
        Channel(name="V", quantity="current", rated=12, load=True),
        Channel(name="W", quantity="current", rated=12, load=True),
        Channel(name="heatsink", quantity="temperature", at_most=85),
        Channel(name="ambient", quantity="ambient", at_most=45),
    ),
    band_percent=5,
    reading_minutes=10,
    gap_minutes=15,
    criterion="2 K per hour, twice",
    hot_above=60,
    dead_minutes=20,
)
HEAD = "time,U,V,W,heatsink,ambient"


def fed(lines: Iterable[str], plan: Plan = PLAN, seconds: float = 60, now: datetime | None = None) -> list[Batch]:
    """The batches that a file amounts to; the first line is the headings."""
    rows = iter(lines)
    columns = columns_of(mapped(cells_of(next(rows)), plan), plan)
    intake = Intake(columns, UTC, START, None, seconds)
    for row in rows:
        intake.take(row, now)
    intake.cut()
    return intake.full()


def run_of(batches: Iterable[Batch], plan: Plan = PLAN, heard: datetime | None = None) -> Run:
    run = UUID(int=1)
    chunks = tuple(chunk(number, packed(batch, run, plan), "test") for number, batch in enumerate(batches, 1))
    at = heard or (chunks[-1].ends if chunks else None)
    return Run(run, plan, "R000001X", None, "P-1", START, started=START, chunks=chunks, heard=at)


def stamp(minute: float) -> str:
    return (START + timedelta(minutes=minute)).isoformat()


def said(batches: Iterable[Batch]) -> list[tuple[str, str]]:
    return [(fault.fault, fault.channel) for batch in batches for fault in batch.faults]
