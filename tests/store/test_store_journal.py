"""Appending under an expected number, repeats, races, and what a broken chain looks like."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta, timezone
from threading import Barrier
from uuid import UUID, uuid4

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Connection, Engine, text

from tests.store.tampering import without_triggers
from traveller.errors import InputError, NotReachable
from traveller.judgement import Figure, Finding, Verdict
from traveller.record.answers import Calculated
from traveller.record.entries import Answered, Draft, Entry, Noted
from traveller.store import journal
from traveller.store.engine import reading, writing

AT = datetime(2026, 3, 29, 1, 30, tzinfo=UTC)
Note = Callable[..., Draft]


def append(connection: Connection, subject: str, expected: int, *drafts: Draft) -> list[Entry]:
    return journal.append(connection, subject, expected, drafts, by="P-1", terminal="bench 2", at=AT).entries


def filled(engine: Engine, note: Note, subject: str = "U-1", count: int = 3) -> list[Entry]:
    with writing(engine) as connection:
        return append(connection, subject, 0, *(note(f"line {n}") for n in range(1, count + 1)))


def test_what_is_appended_is_read_back(engine: Engine, note: Note) -> None:
    written = filled(engine, note)
    with reading(engine) as connection:
        assert journal.read(connection, "U-1") == written
        assert journal.read(connection, "U-1", after=2) == written[2:]
        assert journal.read(connection, "U-2") == []
        assert [entry.sequence for entry in written] == [1, 2, 3]
        assert journal.head(connection, "U-2") == (0, "0" * 64)
        assert journal.verify(connection, "U-1") is None
        assert journal.subjects(connection) == ["U-1"]


def test_the_digest_can_be_worked_out_by_hand(engine: Engine, note: Note) -> None:
    """SHA-256 (FIPS 180-4) over previous digest, line feed and the JSON, with nothing but the library's."""
    filled(engine, note, count=2)
    with reading(engine) as connection:
        rows = connection.execute(text("SELECT payload, digest FROM entry ORDER BY sequence")).all()
        digest = "0" * 64
        for row in rows:
            payload = json.dumps(json.loads(row.payload), sort_keys=True, separators=(",", ":"), ensure_ascii=False)
            digest = hashlib.sha256(digest.encode() + b"\n" + payload.encode()).hexdigest()
            assert row.digest == digest
        assert journal.head(connection, "U-1") == (2, digest)


def test_times_are_kept_in_utc_at_a_fixed_width(engine: Engine, note: Note) -> None:
    """02:30 at +02:00 on the night of the change of summer time is 00:30 UTC."""
    local = datetime(2026, 3, 29, 2, 30, tzinfo=timezone(timedelta(hours=2)))
    with writing(engine) as connection:
        journal.append(connection, "U-1", 0, [note()], by="P-1", terminal="t", at=local)
        kept = connection.execute(text("SELECT at FROM entry")).scalar()
    assert kept == "2026-03-29T00:30:00.000000Z"


def test_the_wrong_expectation_is_refused(engine: Engine, note: Note) -> None:
    filled(engine, note)
    for expected in (0, 2, 4):
        with pytest.raises(journal.SequenceTaken), writing(engine) as connection:
            append(connection, "U-1", expected, note())
    with reading(engine) as connection:
        assert journal.head(connection, "U-1")[0] == 3


def test_the_unique_constraint_has_the_last_word(engine: Engine, note: Note, monkeypatch: pytest.MonkeyPatch) -> None:
    filled(engine, note)
    monkeypatch.setattr(journal, "head", lambda *_: (1, "0" * 64))
    with pytest.raises(journal.SequenceTaken), writing(engine) as connection:
        append(connection, "U-1", 1, note())
    monkeypatch.undo()
    with reading(engine) as connection:
        assert journal.verify(connection, "U-1") is None


def test_a_repeat_writes_nothing_and_answers_the_same(engine: Engine, note: Note) -> None:
    drafts = [note("first"), note("second")]
    with writing(engine) as connection:
        first = append(connection, "U-1", 0, *drafts)
    for expected in (0, 2):
        with writing(engine) as connection:
            assert append(connection, "U-1", expected, *drafts) == first
    with reading(engine) as connection:
        assert len(journal.read(connection, "U-1")) == 2


def test_half_a_repeat_or_one_on_another_unit_is_refused(engine: Engine, note: Note) -> None:
    known = note()
    with writing(engine) as connection:
        append(connection, "U-1", 0, known)
    with pytest.raises(InputError, match="U-1 entry 1"), writing(engine) as connection:
        append(connection, "U-1", 1, known, note())
    with pytest.raises(InputError, match="U-1 entry 1"), writing(engine) as connection:
        append(connection, "U-2", 0, known)


def test_nothing_stays_of_a_transaction_that_failed(engine: Engine, note: Note) -> None:
    with pytest.raises(ZeroDivisionError), writing(engine) as connection:
        append(connection, "U-1", 0, note())
        _ = 1 / 0
    with reading(engine) as connection:
        assert journal.position(connection) == 0


def test_of_two_at_once_exactly_one_wins(engine: Engine, note: Note) -> None:
    """Ten rounds of two threads that both expect the same number."""
    for expected in range(10):
        together = Barrier(2)

        def write(expected: int = expected, together: Barrier = together) -> bool:
            together.wait()
            try:
                with writing(engine) as connection:
                    append(connection, "U-1", expected, note())
            except journal.SequenceTaken:
                return False
            return True

        with ThreadPoolExecutor(2) as pool:
            won = [future.result() for future in [pool.submit(write) for _ in range(2)]]
        assert sorted(won) == [False, True]
    with reading(engine) as connection:
        assert [entry.sequence for entry in journal.read(connection, "U-1")] == list(range(1, 11))
        assert journal.verify(connection, "U-1") is None


def test_nobody_misses_an_entry_that_was_committed_late(engine: Engine, note: Note) -> None:
    """Four writers, one reader that follows by position: it must have seen every entry, in order."""

    def write(subject: str) -> None:
        for expected in range(15):
            with writing(engine) as connection:
                append(connection, subject, expected, note())

    seen: list[tuple[int, str, str]] = []
    with ThreadPoolExecutor(4) as pool:
        writers = [pool.submit(write, f"U-{n}") for n in range(4)]
        while len(seen) < 60:
            finished = all(writer.done() for writer in writers)
            with reading(engine) as connection:
                seen += journal.changed_since(connection, seen[-1][0] if seen else 0)
            if finished:
                break
    assert [writer.exception() for writer in writers] == [None] * 4
    with reading(engine) as connection:
        assert seen == journal.changed_since(connection, 0)
        assert len(seen) == 60
        assert journal.position(connection) == seen[-1][0]


@pytest.mark.parametrize("statement", ["UPDATE entry SET terminal = 'x'", "DELETE FROM entry", "TRUNCATE entry"])
def test_the_database_refuses_to_change_or_erase(engine: Engine, note: Note, statement: str) -> None:
    if engine.dialect.name == "sqlite" and statement.startswith("TRUNCATE"):
        statement = "REPLACE INTO entry SELECT * FROM entry"
    written = filled(engine, note)
    with pytest.raises(NotReachable, match="never changed or erased"), writing(engine) as connection:
        connection.execute(text(statement))
    with reading(engine) as connection:
        assert journal.read(connection, "U-1") == written


@pytest.mark.parametrize(
    ("statement", "sequence", "says"),
    [
        ("UPDATE entry SET payload = replace(payload, 'line 2', 'line 9') WHERE sequence = 2", 2, "changed"),
        ("DELETE FROM entry WHERE sequence = 2", 2, "missing"),
        ("DELETE FROM entry WHERE sequence = 1", 1, "missing"),
        ("UPDATE entry SET previous = digest WHERE sequence = 3", 3, "previous digest"),
        ("UPDATE entry SET kind = 'moved' WHERE sequence = 3", 3, "kind"),
        ("UPDATE entry SET by_tag = 'P-2' WHERE sequence = 1", 1, "by_tag"),
        ("UPDATE entry SET at = '2026-03-28T00:30:00.000000Z' WHERE sequence = 1", 1, "at"),
    ],
)
def test_tampering_is_found_at_its_line(engine: Engine, note: Note, statement: str, sequence: int, says: str) -> None:
    filled(engine, note)
    with writing(engine) as connection:
        without_triggers(connection)
        connection.execute(text(statement))
    with reading(engine) as connection:
        found = journal.verify(connection, "U-1")
    assert found is not None
    assert (found.subject, found.sequence) == ("U-1", sequence)
    assert says in found.what


def forge(connection: Connection, words: str, others: str) -> None:
    """Put other words into the second line, with a digest that fits it."""
    without_triggers(connection)
    row = connection.execute(text("SELECT payload, previous FROM entry WHERE sequence = 2")).one()
    forged = row.payload.replace(words, others)
    assert forged != row.payload
    connection.execute(
        text("UPDATE entry SET payload = :payload, digest = :digest WHERE sequence = 2"),
        {"payload": forged, "digest": journal.chained(row.previous, forged)},
    )


def test_a_forged_line_with_a_fitting_digest_breaks_the_next(engine: Engine, note: Note) -> None:
    filled(engine, note)
    with writing(engine) as connection:
        forge(connection, "line 2", "line 9")
    with reading(engine) as connection:
        found = journal.verify(connection, "U-1")
    assert found is not None and found.sequence == 3


def test_an_entry_of_an_unknown_kind_is_named_and_not_a_traceback(engine: Engine, note: Note) -> None:
    filled(engine, note, count=2)
    with writing(engine) as connection:
        forge(connection, '"kind":"noted"', '"kind":"teleported"')
    with reading(engine) as connection:
        found = journal.verify(connection, "U-1")
        with pytest.raises(NotReachable, match="Entry 2 of U-1"):
            journal.read(connection, "U-1")
    assert found is not None and "does not know its form" in found.what


def calculated(values: tuple[Figure, ...]) -> Draft:
    return Draft(
        id=uuid4(),
        body=Answered(
            check="diagnosis.leakage",
            station="diagnosis",
            edition="1-00000000",
            asks="0" * 16,
            answer=Calculated(inputs={"volts": "0"}),
            finding=Finding(verdict=Verdict.UNDECIDED, says="no current flows", values=values),
        ),
    )


def test_an_infinite_figure_is_kept_and_read_back(engine: Engine) -> None:
    """RFC 8259 section 6 has no infinity; a resistance without current is one all the same."""
    draft = calculated((Figure(name="resistance", value=float("inf"), unit="ohm"),))
    with writing(engine) as connection:
        written = append(connection, "U-1", 0, draft)
    with reading(engine) as connection:
        (kept,) = journal.read(connection, "U-1")
        assert journal.verify(connection, "U-1") is None
    assert [kept] == written
    assert isinstance(kept.body, Answered)
    assert kept.body.finding.values[0].value == "Infinity"


@settings(max_examples=200, deadline=None)
@given(
    words=st.text(st.characters(codec="utf-8"), min_size=1).filter(lambda words: words.strip() != ""),
    figure=st.floats(allow_nan=False, allow_infinity=False),
    at=st.datetimes(timezones=st.just(UTC)),
)
def test_canonical_json_is_plain_json_that_gives_the_entry_back(words: str, figure: float, at: datetime) -> None:
    body = calculated((Figure(name="x", value=figure),)).body
    for one in (Noted(text=words), body):
        entry = Entry(id=UUID(int=1), subject="U-1", sequence=1, at=at, by="P", terminal="t", body=one)
        written = journal.canonical(entry)
        assert Entry.model_validate_json(written) == entry
        assert "\n" not in written
        assert json.loads(written)["body"]["kind"] == one.kind
        assert list(json.loads(written)) == sorted(json.loads(written))
