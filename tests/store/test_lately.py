"""What a terminal saw last, while several of its threads look at once."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from traveller.errors import Away
from traveller.store.lately import MOST, Lately


def gone() -> str:
    raise Away("The server is away.")


def test_what_was_seen_is_handed_out_while_the_database_is_away() -> None:
    lately = Lately(lambda: datetime(2031, 3, 3, tzinfo=UTC))
    assert lately.ask("queue", lambda: "two units") == "two units"
    assert lately.ask("queue", gone) == "two units"
    assert lately.away
    assert lately.ask("queue", lambda: "not asked while it rests") == "two units"
    with pytest.raises(Away):
        lately.ask("floor", gone)


def test_what_another_thread_puts_out_meanwhile_is_asked_for_and_no_error() -> None:
    """The most that is remembered is full, and another thread has just seen something else."""
    lately = Lately(lambda: datetime(2031, 3, 3, tzinfo=UTC))
    lately.saw("queue", "two units")

    def others_look() -> str:
        for number in range(MOST):
            lately.saw(f"unit {number}", "seen")
        return gone()

    with pytest.raises(Away):
        lately.ask("queue", others_look)
