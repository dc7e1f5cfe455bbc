"""The curve of a run: what is drawn is what was read, and a short dip is not smoothed away."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC

from hypothesis import given
from hypothesis import strategies as some
from pytest import approx

from demo.logger import Bench, lines
from tests.record.heat_runs.rows import START, fed, run_of
from traveller.record.heat_runs.curve import MOST_POINTS, RunCurve, Seen, curve_of, thinned
from traveller.record.heat_runs.run import Run

BENCH = Bench(seconds=2, steps=((25, 10), (50, 10), (75, 10), (100, 100)))


def drawn(run: Run) -> RunCurve:
    curve = curve_of({run.id: run}, UTC)
    assert curve
    return curve


def nearest(points: Sequence[Seen], minute: float) -> Seen:
    return min(points, key=lambda one: abs(one.minute - minute))


def test_the_curve_of_a_run_with_a_dip() -> None:
    """The bench is a first-order law: dθ/dt = (rise · load² − θ) / τ. Source of the law: IEC 60034-1, annex on
    temperature rise of a homogeneous body (from memory); solved here in closed form, step by step."""
    curve = drawn(run_of(fed(lines(BENCH, START))))
    assert curve.on == START.date()
    assert curve.hold == approx((50.5, 130.0), abs=0.1)
    assert curve.again == approx((50.0,), abs=0.1)
    assert (curve.load.at_least, curve.load.at_most) == (95, 105)
    for minute, percent in ((5, 25), (15, 50), (25, 75), (45, 100)):
        assert nearest(curve.load.points, minute).mean == approx(percent, rel=0.01)
    (dipped,) = [one for one in curve.load.points if one.minute > 31 and one.least < 85]
    assert abs(dipped.minute - 50.5) <= 1
    heatsink, ambient = curve.heat
    assert (heatsink.name, heatsink.at_most, ambient.name) == ("heatsink", 85, "ambient")
    warm = 0.0
    for load, minutes in BENCH.steps:
        end = BENCH.rise * (load / 100) ** 2
        warm = end + (warm - end) * math.exp(-minutes / BENCH.tau)
    assert heatsink.points[-1].mean == approx(BENCH.ambient + warm, abs=0.5)


@given(
    some.lists(
        some.tuples(some.floats(0, 1e4), some.floats(-50, 300), some.floats(0, 20), some.floats(0, 20)), max_size=1500
    )
)
def test_thinning_keeps_every_extreme_and_the_order(rows: list[tuple[float, float, float, float]]) -> None:
    points = [Seen(minute=at, mean=mean, least=mean - low, most=mean + high) for at, mean, low, high in rows]
    kept = thinned(points)
    assert len(kept) <= MOST_POINTS
    assert [one.minute for one in kept] == sorted(one.minute for one in kept)
    assert bool(kept) == bool(points)
    if points:
        assert min(one.least for one in kept) == min(one.least for one in points)
        assert max(one.most for one in kept) == max(one.most for one in points)


def test_a_run_that_never_saw_its_load_is_not_drawn() -> None:
    run = run_of(fed(lines(BENCH, START)))
    assert curve_of({}, UTC) is None
    assert curve_of({run.id: replace(run, started=None)}, UTC) is None
    assert curve_of({run.id: replace(run, chunks=())}, UTC) is None
