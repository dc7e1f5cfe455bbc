"""An entry that was acknowledged is there, whenever the process that wrote it is killed."""

from __future__ import annotations

import random
import time
from multiprocessing import get_context

import pytest

from tests.faults.killed_writer import received, write_until_killed
from tests.trials import tell, trials
from traveller.store import journal
from traveller.store.engine import open_engine, reading

pytestmark = pytest.mark.heavy
TRIALS = trials(short=30, full=1_000)
WARMED = [
    "pytest",
    "traveller.store.journal",
    "sqlalchemy.dialects.sqlite",
    "sqlalchemy.dialects.postgresql.psycopg",
]
"""Loaded once in the process from which the writers are forked, so that a trial takes no second."""


@pytest.fixture
def known_chance() -> random.Random:
    return random.Random(20260329)


def test_no_acknowledged_entry_is_lost(
    database_url: str, known_chance: random.Random, capsys: pytest.CaptureFixture[str]
) -> None:
    """Many writers on each engine, each killed (SIGKILL) up to 60 ms after its first acknowledgement."""
    engine = open_engine(database_url)
    warmed = get_context("forkserver")
    warmed.set_forkserver_preload(WARMED)
    acknowledged = set()
    for _ in range(TRIALS):
        ours, theirs = warmed.Pipe(duplex=False)
        writer = warmed.Process(target=write_until_killed, args=(database_url, theirs), daemon=True)
        writer.start()
        theirs.close()
        assert ours.poll(10), "the writer never acknowledged anything"
        time.sleep(known_chance.uniform(0, 0.06))
        writer.kill()
        writer.join()
        acknowledged |= received(ours)
        ours.close()
    with reading(engine) as connection:
        kept = {entry.id for entry in journal.read(connection, "U-1")}
        broken = journal.verify(connection, "U-1")
    engine.dispose()
    lost = acknowledged - kept
    tell(
        capsys, f"{engine.dialect.name}, writers killed", trials=TRIALS, acknowledged=len(acknowledged), lost=len(lost)
    )
    assert len(acknowledged) >= TRIALS
    assert lost == set()
    assert broken is None
    assert len(kept) <= len(acknowledged) + TRIALS, "at most the one entry under way may be kept unsaid"
