"""The hold against somebody who looks at every sample, one after the other, and keeps no sums."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from traveller.record.heat_runs.hold import MOST_TOLD, Piece, hold, joined, single, summed, together

Sample = tuple[float, bool]
START = datetime(2031, 3, 3, 6, tzinfo=UTC).timestamp()
GAP, WANTED = 60.0, 300.0

MOST = 60


def after_another(steps: Sequence[tuple[float, bool, int]]) -> list[Sample]:
    """So many samples in each step, all in the band or all out of it."""
    waits = [(wait, inside) for wait, inside, times in steps for _ in range(times)]
    return [(START + sum(wait for wait, _ in waits[: place + 1]), inside) for place, (_, inside) in enumerate(waits)]


in_band = st.sampled_from([True, True, False])
steps = st.tuples(st.sampled_from([1.0, 10.0, 59.0, 60.0, 60.0, 61.0, 400.0]), in_band, st.integers(1, 6))
samples = st.lists(steps, max_size=MOST // 6).map(after_another)
cuts = st.lists(st.integers(1, 7), min_size=MOST, max_size=MOST)
two_cuts = samples.filter(lambda seen: len(seen) > 2).flatmap(
    lambda seen: st.tuples(st.just(seen), st.sets(st.integers(1, len(seen) - 1), min_size=2, max_size=2))
)


def stretches(seen: Sequence[Sample]) -> list[tuple[float, float, str]]:
    """From, to, and how it ended, written down without any of the project's code."""
    found: list[tuple[float, float, str]] = []
    since: float | None = None
    before = 0.0
    for at, inside in seen:
        if since is not None and at - before > GAP:
            found.append((since, before, "gap"))
            since = None
        if since is not None and not inside:
            found.append((since, before, "dip"))
            since = None
        if inside and since is None:
            since = at
        before = at
    if since is not None:
        found.append((since, before, ""))
    return found


def in_pieces(seen: Sequence[Sample], lengths: Sequence[int]) -> list[Piece]:
    pieces, at = [], 0
    for length in lengths:
        part = seen[at : at + length]
        if piece := summed([one for one, _ in part], [inside for _, inside in part], GAP):
            pieces.append(piece)
        at += length
    return pieces


@given(samples, cuts, st.sampled_from([0.0, 30.0, 60.0, 61.0, 4000.0]))
def test_the_hold_is_that_of_the_samples_one_by_one(seen: list[Sample], lengths: list[int], later: float) -> None:
    now = datetime.fromtimestamp((seen[-1][0] if seen else START) + later, UTC)
    found = hold(together(in_pieces(seen, lengths), GAP), WANTED / 60, GAP / 60, now)
    known = stretches(seen)
    present = known[-1] if known and known[-1][2] == "" and later <= GAP else None
    longest = max((to - since for since, to, _ in known), default=0.0)
    assert found.met == (longest >= WANTED)
    assert (found.started.timestamp() if found.started else None) == (present[0] if present else None)
    ends = [kind for _, _, kind in known if kind] + (["gap"] if known and known[-1][2] == "" and later > GAP else [])
    told = ["dip" if "band" in why else "gap" for _, why in found.restarted]
    assert told[:MOST_TOLD] == ends[:MOST_TOLD]
    assert found.untold + len(told) == len(ends)
    if found.met:
        assert found.held_minutes * 60 == pytest.approx(longest)
        assert found.will_be_met_at is None
    else:
        assert found.held_minutes * 60 == pytest.approx(present[1] - present[0] if present else 0.0)
        due = found.will_be_met_at.timestamp() if found.will_be_met_at else None
        assert due == (present[0] + WANTED if present else None)


@given(samples, cuts, cuts)
def test_however_it_is_cut_it_is_the_same(seen: list[Sample], one: list[int], other: list[int]) -> None:
    """A follower that was killed and began again cuts elsewhere; one by one is what a person types."""
    assert together(in_pieces(seen, one), GAP) == together(in_pieces(seen, other), GAP)
    assert together(in_pieces(seen, one), GAP) == together([single(*sample) for sample in seen], GAP)


@given(two_cuts)
def test_joining_does_not_care_which_pair_comes_first(cut: tuple[list[Sample], set[int]]) -> None:
    seen, (low, high) = cut[0], sorted(cut[1])
    a, b, c = in_pieces(seen, (low, high - low, len(seen) - high))
    assert joined(joined(a, b, GAP), c, GAP) == joined(a, joined(b, c, GAP), GAP)


def test_a_dip_at_minute_twenty_starts_the_hour_again() -> None:
    """Worked by hand: in the band from 7:00, one dip at 7:20, back at 7:21: the hour is over at 8:21."""
    seven = datetime(2031, 3, 3, 7, tzinfo=UTC)
    seen = [(seven.timestamp() + 60 * minute, minute != 20) for minute in range(40)]
    whole = summed([at for at, _ in seen], [inside for _, inside in seen], 900)
    found = hold(whole, 60, 15, seven.replace(minute=39))
    assert found.will_be_met_at == seven.replace(hour=8, minute=21)
    assert found.restarted == ((seven.replace(minute=20), "out of the band"),)
    assert found.held_minutes == 18


def test_nothing_read_for_too_long_is_no_hold_whatever_a_clock_says() -> None:
    seven = datetime(2031, 3, 3, 7, tzinfo=UTC)
    whole = summed([seven.timestamp(), seven.timestamp() + 600], [True, True], 900)
    assert hold(whole, 60, 15, seven.replace(minute=25)).started == seven
    silent = hold(whole, 60, 15, seven.replace(minute=26))
    assert (silent.started, silent.will_be_met_at) == (None, None)
    assert silent.restarted[-1][1].startswith("no reading for 16 min")
