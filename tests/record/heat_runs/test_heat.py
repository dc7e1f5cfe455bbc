"""Where a temperature is heading while the run goes on, against the closed solution of a first-order law."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from datetime import timedelta

import pytest

from demo.logger import Bench, lines
from tests.record.heat_runs.rows import PLAN, START, fed, run_of
from traveller.record.heat_runs.heat import Heat, heats, minutes_to
from traveller.record.heat_runs.intake import Batch
from traveller.record.heat_runs.run import Run
from traveller.stationbook import load_stations

JUDGE = load_stations().judges["load_test.steady"]


def until(batches: Iterable[Batch], minute: float) -> Run:
    ended = (START + timedelta(minutes=minute)).timestamp()
    return run_of([one for one in batches if one.times[-1] <= ended])


def heatsink(run: Run) -> Heat:
    (found,) = heats(run, JUDGE)
    return found


@pytest.mark.parametrize("tau", [20.0, 40.0, 60.0])
@pytest.mark.parametrize("seed", range(4))
def test_the_end_is_known_within_one_kelvin_once_sixty_percent_of_the_way_up(tau: float, seed: int) -> None:
    """Scatter of 0.15 K, a sample in 5 s. The true end is ambient + rise, the way up 1 − e^(−t/τ) from a cold
    start at full load: 60 % at 0.916 τ. From then on, every five minutes, it has to be right."""
    bench = Bench(tau=tau, steps=((100, 4 * tau),), dip_minute=None, seconds=5, seed=seed)
    batches = fed(lines(bench, START))
    sixty = -tau * math.log(0.4)
    for minute in range(math.ceil(sixty) + 1, int(3 * tau), 5):
        heat = heatsink(until(batches, minute))
        final = heat.figure("final_c")
        assert final is not None, (minute, heat.not_yet)
        assert final == pytest.approx(bench.ambient + bench.rise, abs=1.0), minute
        u = heat.figure("final_u_k")
        assert u is not None and u < 1.5


def test_too_soon_is_said() -> None:
    bench = Bench(steps=((100, 60),), dip_minute=None, seconds=5)
    assert heatsink(until(fed(lines(bench, START)), 2)).not_yet.startswith("not at full load for long")
    assert "too soon" in heatsink(until(fed(lines(bench, START)), 12)).not_yet


def test_a_heatsink_that_will_be_too_hot_is_said_early_and_in_words() -> None:
    """Ends at 23 + 65 = 88 °C; from 75 °C and τ 40 min it takes 40 ln(13 / 3) = 58.7 min to 85 °C (by hand).
    After 64 min it is at 88 − 65 e^(−1.6) = 74.88 °C, from which it takes 40 ln(13.12 / 3) = 59.0 min.
    """
    assert minutes_to(85, 75, 88, 40) == pytest.approx(58.65, abs=0.01)
    bench = Bench(rise=65, steps=((100, 120),), dip_minute=None, seconds=5)
    heat = heatsink(until(fed(lines(bench, START)), 64))
    said = re.fullmatch(
        r"heatsink heads for ([\d.]+) °C, limit 85 °C, in (?:(\d+) h )?(\d+) min: lower the load or stop", heat.warning
    )
    assert said, heat.warning
    assert float(said[1]) == pytest.approx(88, abs=0.5)
    assert int(said[2] or 0) * 60 + int(said[3]) == pytest.approx(59, abs=2)


def test_a_limit_that_is_passed_is_said_at_once() -> None:
    bench = Bench(rise=90, steps=((100, 60),), dip_minute=None, seconds=5)
    assert "above its limit 85 °C" in heatsink(until(fed(lines(bench, START)), 59)).warning


def test_a_fast_rise_is_said_before_anybody_knows_its_end() -> None:
    bench = Bench(rise=400, tau=120, steps=((100, 60),), dip_minute=None, seconds=5)
    assert "at this rate" in heatsink(until(fed(lines(bench, START)), 17)).warning


def test_after_the_steady_state_nothing_is_awaited() -> None:
    bench = Bench(tau=15, steps=((100, 150),), dip_minute=None, seconds=5)
    heat = heatsink(until(fed(lines(bench, START)), 150))
    assert heat.steady
    assert heat.warning == ""
    assert PLAN.channel("HEATSINK") == heat.channel
