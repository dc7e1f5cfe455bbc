"""Word of a change reaches another terminal within a second, and the watching never fails anybody."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from threading import Event, Semaphore, Thread, current_thread, main_thread

import pytest
from sqlalchemy import Engine, create_engine, text

from traveller.record.entries import Draft
from traveller.store import feed as feed_module
from traveller.store import journal
from traveller.store.engine import open_engine, reading, writing
from traveller.store.feed import Feed

WITHIN_SECONDS = 1.0


@pytest.fixture
def changes(engine: Engine) -> Iterator[Semaphore]:
    """Goes up with every call of a running feed; the call on connecting is taken off already."""
    told = Semaphore(0)
    feed = Feed(engine, told.release)
    feed.start()
    assert told.acquire(timeout=5)
    yield told
    feed.stop()
    assert not feed._thread.is_alive()


def write(engine: Engine, subject: str, draft: Draft) -> None:
    with writing(engine) as connection:
        journal.append(connection, subject, 0, [draft], by="P-1", terminal="t", at=datetime.now(UTC))


def test_a_change_made_elsewhere_is_told_within_a_second(
    database_url: str, changes: Semaphore, note: Callable[..., Draft]
) -> None:
    elsewhere = open_engine(database_url)
    for n in range(3):
        write(elsewhere, f"U-{n}", note())
        assert changes.acquire(timeout=WITHIN_SECONDS)
    elsewhere.dispose()


def test_what_was_not_committed_is_not_told(engine: Engine, changes: Semaphore, note: Callable[..., Draft]) -> None:
    with pytest.raises(ZeroDivisionError), writing(engine) as connection:
        journal.append(connection, "U-1", 0, [note()], by="P-1", terminal="t", at=datetime.now(UTC))
        _ = 1 / 0
    assert not changes.acquire(timeout=WITHIN_SECONDS)


def test_a_listener_that_fails_is_told_again(engine: Engine, note: Callable[..., Draft]) -> None:
    told = Semaphore(0)

    def fail() -> None:
        assert current_thread() is not main_thread()
        told.release()
        raise RuntimeError("the screen has gone")

    feed = Feed(engine, fail)
    feed.start()
    assert told.acquire(timeout=5)
    write(engine, "U-1", note())
    assert told.acquire(timeout=WITHIN_SECONDS)
    feed.stop()


def test_after_a_lost_connection_everything_is_told_again(postgresql_url: str, note: Callable[..., Draft]) -> None:
    engine = open_engine(postgresql_url)
    told = Semaphore(0)
    feed = Feed(engine, told.release)
    feed.start()
    assert told.acquire(timeout=5)
    with writing(engine) as connection:
        connection.execute(
            text(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE datname = current_database() AND query LIKE 'LISTEN%'"
            )
        )
    assert told.acquire(timeout=5), "nothing was told after the connection came back"
    write(engine, "U-1", note())
    assert told.acquire(timeout=WITHIN_SECONDS)
    feed.stop()
    engine.dispose()


@pytest.mark.parametrize("url", ["sqlite:////nowhere/at/all.sqlite", "postgresql+psycopg://x@127.0.0.1:1/x"])
def test_a_database_that_is_not_there_is_tried_again_and_again_ever_slower(
    url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    pauses: list[float] = []
    enough = Event()

    class Stopped(Event):
        def wait(self, timeout: float | None = None) -> bool:
            pauses.append(timeout or 0)
            if len(pauses) == 8:
                enough.set()
                self.set()
            return self.is_set()

    monkeypatch.setattr(feed_module, "Event", Stopped)
    feed = Feed(create_engine(url), lambda: pytest.fail("told of a change"))
    feed.start()
    assert enough.wait(10)
    feed.stop()
    assert pauses[:3] == pytest.approx([0.6, 1.2, 2.4])
    assert pauses[-1] == feed_module.LONGEST_PAUSE_SECONDS


def test_stopping_is_quick_and_harmless_before_the_start(tmp_path: Path) -> None:
    engine = open_engine(str(tmp_path / "record.sqlite"))
    Feed(engine, lambda: None).stop()
    feed = Feed(engine, lambda: None)
    feed.start()
    began = time.monotonic()
    feed.stop()
    assert time.monotonic() - began < 1
    engine.dispose()


def test_a_reader_never_misses_an_entry_that_commits_late(engine: Engine, note: Callable[..., Draft]) -> None:
    """PostgreSQL documentation, 9.17: numbers of a sequence are given out of the order of commits. The slow writer
    has its number before the quick one begins; who asks for what came after a number must still see both."""
    taken, finish, quick_done = Event(), Event(), Event()

    def slow() -> None:
        with writing(engine) as connection:
            journal.append(connection, "U-slow", 0, [note()], by="P-1", terminal="t", at=datetime.now(UTC))
            taken.set()
            assert finish.wait(10)

    def quick() -> None:
        write(engine, "U-quick", note())
        quick_done.set()

    def news(known: int) -> list[tuple[int, str, str]]:
        with reading(engine) as connection:
            return journal.changed_since(connection, known)

    writers = [Thread(target=slow), Thread(target=quick)]
    writers[0].start()
    assert taken.wait(10)
    writers[1].start()
    assert not quick_done.wait(0.5), "nobody commits a later number before the earlier one"
    assert news(0) == []
    finish.set()
    seen: list[tuple[int, str, str]] = []
    give_up = time.monotonic() + 10
    while len(seen) < 2 and time.monotonic() < give_up:
        seen += news(seen[-1][0] if seen else 0)
    assert [subject for _, subject, _ in seen] == ["U-slow", "U-quick"]
    for one in writers:
        one.join()


def test_a_reader_of_many_writers_sees_every_entry_once(
    database_url: str, engine: Engine, note: Callable[..., Draft]
) -> None:
    """Four writers, one of them slow to commit; a reader that only ever asks for what came after its last."""
    elsewhere = open_engine(database_url)

    def work(name: str) -> None:
        for expected in range(6):
            with writing(elsewhere) as connection:
                journal.append(connection, name, expected, [note()], by="P-1", terminal="t", at=datetime.now(UTC))
                time.sleep(0.01 if name == "U-1" else 0)

    writers = [Thread(target=work, args=(f"U-{n}",)) for n in range(4)]
    for one in writers:
        one.start()
    known = 0
    seen: list[tuple[int, str, str]] = []
    while any(one.is_alive() for one in writers) or len(seen) < 24:
        with reading(engine) as connection:
            found = journal.changed_since(connection, known)
        seen += found
        known = found[-1][0] if found else known
        assert len(seen) <= 24
    assert sorted(subject for _, subject, _ in seen) == sorted([f"U-{n}" for n in range(4)] * 6)
    elsewhere.dispose()
