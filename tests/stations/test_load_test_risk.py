"""Load test: shares of units that are wrongly judged, against published figures and scipy."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, optimize, stats

from stations.load_test.budget import InstrumentBudget, instrument_budget
from stations.load_test.risk import Between, Shares, of_a_normal_process, wrongly_judged
from tests.stations.findings import figures
from traveller.errors import InputError

BALLS = stats.gamma(4, scale=0.25)


def bearings(w: float) -> Shares:
    """Product scattered as Gamma(4, 0.25), limit 2, u = 0.25, guard band w."""
    return wrongly_judged(
        lambda x: float(BALLS.pdf(x)), Between(0, 12), Between(-math.inf, 2), Between(-math.inf, 2 - w), 0.25
    )


def test_bearings_that_nobody_inspects() -> None:
    """JCGM 106 9.5.4, as reproduced in suncal's notebook Risk - Ball Bearing: 4.238 % are beyond the limit."""
    accepts_all = wrongly_judged(
        lambda x: float(BALLS.pdf(x)), Between(0, 12), Between(-math.inf, 2), Between(-math.inf, math.inf), 0.25
    )
    assert accepts_all.wrongly_accepted == pytest.approx(0.04238, abs=1e-5)
    assert accepts_all.wrongly_refused == pytest.approx(0, abs=1e-12)


def test_bearings_by_simple_acceptance() -> None:
    """The same: 0.0080191 wrongly accepted; 0.01744 wrongly refused (computed)."""
    assert bearings(0).wrongly_accepted == pytest.approx(0.0080191, abs=1e-5)
    assert bearings(0).wrongly_refused == pytest.approx(0.01744, abs=1e-5)


def test_the_guard_band_for_one_in_a_thousand() -> None:
    """The same: w = 0.32817, so 1.67183 is the acceptance limit; 7.55 % wrongly refused (computed)."""
    w = optimize.brentq(lambda one: bearings(one).wrongly_accepted - 0.001, 0, 1, xtol=1e-9)
    assert w == pytest.approx(0.32817, abs=1e-5)
    assert bearings(w).wrongly_refused == pytest.approx(0.0755, abs=5e-5)


@pytest.mark.parametrize(
    ("limit", "ratio", "share", "accepted", "refused"),
    [(2, 4, 1, 0.008, 0.015), (2.5, 4, 1, 0.0025, None), (2, 2, 0.91, 0.008, 0.066)],
)
def test_a_normal_process_as_published(
    limit: float, ratio: float, share: float, accepted: float, refused: float | None
) -> None:
    """Deaver, as quoted in suncal test_risk.py: limits in standard deviations, TUR, share of the limits kept."""
    u = limit / ratio / 2
    found = of_a_normal_process(0, 1, Between(-limit, limit), Between(-share * limit, share * limit), u)
    assert found.wrongly_accepted == pytest.approx(accepted, abs=5e-4)
    if refused is not None:
        assert found.wrongly_refused == pytest.approx(refused, abs=5e-4)


def test_the_budget_says_it() -> None:
    """The first of these, as a technician types it: limits ± 2, U 0.5, units that scatter by 1."""
    asked = InstrumentBudget(parts="0.25:normal", at_least=-2, at_most=2, guard="none", process_sd=1)
    found = figures(instrument_budget(asked))
    assert float(found["wrongly_accepted"]) == pytest.approx(0.008, abs=5e-4)
    assert float(found["wrongly_refused"]) == pytest.approx(0.015, abs=5e-4)
    one_sided = InstrumentBudget(parts="0.25:normal", at_most=2, process_sd=1)
    with pytest.raises(InputError, match="mean of the units"):
        instrument_budget(one_sided)
    assert "wrongly_accepted" in figures(instrument_budget(one_sided.model_copy(update={"process_mean": 0.0})))


@settings(max_examples=40, deadline=None)
@given(st.floats(-1, 1), st.floats(0.2, 2), st.floats(0.01, 1), st.floats(0, 0.9))
def test_both_shares_as_an_independent_library_integrates_them(mean: float, sd: float, u: float, w: float) -> None:
    """scipy.integrate.quad over scipy.stats.norm."""
    found = of_a_normal_process(mean, sd, Between(-1, 1), Between(-1 + w, 1 - w), u)

    def wrong(x: float) -> float:
        taken = stats.norm.cdf((1 - w - x) / u) - stats.norm.cdf((-1 + w - x) / u)
        return float(stats.norm.pdf(x, mean, sd) * (taken if abs(x) > 1 else 1 - taken))

    def share(a: float, b: float) -> float:
        edges = [one for one in (1 - w, -1 + w, mean) if a < one < b]
        return float(integrate.quad(wrong, a, b, points=edges or None, limit=400)[0])

    outside = share(-1 - 8 * u, -1) + share(1, 1 + 8 * u)
    assert found.wrongly_accepted == pytest.approx(outside, rel=1e-4, abs=1e-7)
    assert found.wrongly_refused == pytest.approx(share(-1, 1), rel=1e-4, abs=1e-7)
