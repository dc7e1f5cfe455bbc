"""Pieces of samples in a row are one line of the history, and nothing is hidden by it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from uuid import UUID

from hypothesis import given
from hypothesis import strategies as some

from traveller.record.entries import Body, Entry, Noted
from traveller.record.heat_runs.hold import Piece
from traveller.record.pieces import grouped, said_together
from traveller.record.run_entries import InputFault, SamplesKept

START = datetime(2031, 3, 3, 2, 0, tzinfo=UTC)


def sample(number: int, run: int = 1, fault: bool = False, seconds: float = 5) -> SamplesKept:
    begins = START + timedelta(seconds=(number - 1) * seconds)
    wrong = (InputFault(fault="channel dead", says="dead", at=begins),) if fault else ()
    return SamplesKept(
        run=UUID(int=run),
        number=number,
        begins=begins,
        ends=begins + timedelta(seconds=seconds),
        count=50,
        sha256="00" * 32,
        channels=(),
        piece=Piece(begins=begins.timestamp(), ends=begins.timestamp() + seconds),
        faults=wrong,
    )


def line(number: int, body: Body, by: str = "P-1", terminal: str = "t") -> Entry:
    return Entry(
        id=UUID(int=number), subject="U0000017", sequence=number, at=START, by=by, terminal=terminal, body=body
    )


def test_a_run_of_pieces_is_one_line_in_words() -> None:
    entries = [line(1, Noted(text="on"))] + [line(n + 1, sample(n)) for n in range(1, 289)]
    first, pieces = grouped(entries)
    assert len(first) == 1
    assert said_together(pieces) == "288 pieces of samples, 02:00 to 02:24 UTC, 14400 samples, lines 2 to 289"


def test_over_midnight_the_days_are_said() -> None:
    (pieces,) = grouped([line(n, sample(n, seconds=3600)) for n in range(1, 25)])
    assert "2031-03-03 02:00 to 2031-03-04 02:00 UTC" in said_together(pieces)


def test_a_piece_in_which_something_was_wrong_stands_alone() -> None:
    entries = [line(n, sample(n, fault=n == 3)) for n in range(1, 6)]
    assert [len(one) for one in grouped(entries)] == [2, 1, 2]


bodies = some.one_of(
    some.builds(sample, some.integers(1, 99), run=some.integers(1, 2), fault=some.booleans()),
    some.just(Noted(text="x")),
)


@given(some.lists(some.tuples(bodies, some.sampled_from("ab"), some.sampled_from("st"))))
def test_every_entry_is_in_one_group_in_its_order(made: list[tuple[Body, str, str]]) -> None:
    entries = [line(n, body, by, terminal) for n, (body, by, terminal) in enumerate(made, 1)]
    groups = grouped(entries)
    assert [one for group in groups for one in group] == entries
    for group in groups:
        assert len({(one.by, one.terminal, one.body.kind) for one in group}) == 1
        assert len(group) == 1 or all(isinstance(e.body, SamplesKept) and not e.body.faults for e in group)
        assert len({e.body.run for e in group if isinstance(e.body, SamplesKept)}) <= 1
