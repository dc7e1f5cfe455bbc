"""Diagnosis: runs with and without failures, against figures published elsewhere and independent libraries."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError
from scipy.stats import beta, binom, binomtest
from statsmodels.stats.proportion import proportion_confint

from stations.diagnosis.intermittent import Intermittent, RunsNeeded, intermittent, runs_needed
from tests.stations.findings import figures
from traveller.errors import InputError
from traveller.judgement import Verdict


def runs(worst_rate: float, confidence: float, failures_allowed: int = 0, form: str = "classical") -> float:
    given_runs = {
        "worst_rate": worst_rate,
        "confidence": confidence,
        "failures_allowed": failures_allowed,
        "form": form,
    }
    return float(figures(runs_needed(RunsNeeded.model_validate(given_runs)))["runs"])


@pytest.mark.parametrize(
    ("confidence", "worst_rate", "needed"),
    [
        (0.90, 0.10, 22),  # qualitydigest.com/print/27832
        (0.99, 0.05, 90),  # westpak.com, sample size for attributes when c is zero
        (0.95, 0.01, 299),  # harishsnotebook.com, sample size
        (0.95, 0.05, 59),  # n = ln(1 - C) / ln R, rounded up; so the rest of the grid
        (0.95, 0.10, 29),
    ],
)
def test_clean_runs_as_published(confidence: float, worst_rate: float, needed: int) -> None:
    assert runs(worst_rate, confidence) == needed


GRID = {
    0.80: (3, 8, 16, 32, 53, 80, 161, 1609),
    0.90: (4, 11, 22, 45, 76, 114, 230, 2302),
    0.95: (5, 14, 29, 59, 99, 149, 299, 2995),
    0.99: (7, 21, 44, 90, 152, 228, 459, 4603),
}


@pytest.mark.parametrize("confidence", GRID)
def test_the_grid_of_clean_runs(confidence: float) -> None:
    """n = ln(1 - C) / ln R rounded up, the classical form without a prior (as westpak.com works it)."""
    rates = (0.5, 0.2, 0.1, 0.05, 0.03, 0.02, 0.01, 0.001)
    assert tuple(runs(rate, confidence) for rate in rates) == GRID[confidence]


@pytest.mark.parametrize(
    ("worst_rate", "confidence", "needed"), [(0.5, 0.5, 1), (0.5, 0.75, 2), (0.5, 0.875, 3), (0.9, 0.99, 2)]
)
def test_whole_quotients_are_not_rounded_up_once_more(worst_rate: float, confidence: float, needed: int) -> None:
    """R^n = 1 - C exactly: 0.5^3 = 0.125, 0.1^2 = 0.01; the quotient of logarithms may land a hair above."""
    assert runs(worst_rate, confidence) == needed


@settings(max_examples=200)
@given(st.integers(10, 999), st.integers(10, 990))
def test_the_runs_are_enough_and_one_less_is_not(reliability: int, confidence: int) -> None:
    """In whole numbers: R and C in thousandths."""
    needed = int(runs(round(1 - reliability / 1000, 3), confidence / 1000))
    assert reliability**needed <= (1000 - confidence) * 1000 ** (needed - 1)
    assert needed == 1 or reliability ** (needed - 1) > (1000 - confidence) * 1000 ** (needed - 2)


@settings(max_examples=100, deadline=None)
@given(st.floats(0.005, 0.9), st.floats(0.5, 0.99), st.integers(0, 20))
def test_runs_with_failures_as_an_independent_library_counts_them(rate: float, confidence: float, c: int) -> None:
    """scipy.stats.binom: the first n for which P(X ≤ c) is no more than 1 − C."""
    needed = int(runs(rate, confidence, c))
    assert binom.cdf(c, needed, rate) <= (1 - confidence) * (1 + 1e-9)
    assert needed == c + 1 or binom.cdf(c, needed - 1, rate) > (1 - confidence) * (1 - 1e-9)


@pytest.mark.parametrize(
    ("made", "confidence", "reliability"),
    [(10, 0.90, 0.811131), (29, 0.95, 0.904966), (59, 0.95, 0.951297), (99, 0.99, 0.954993)],
)
def test_the_form_with_a_prior_as_published(made: int, confidence: float, reliability: float) -> None:
    """codingace.net/dev/success_run_theorem.html: R = (1 − C)^(1/(n+1)); one run less reaches less than that R."""
    assert (1 - confidence) ** (1 / (made + 1)) == pytest.approx(reliability, abs=1e-6)
    assert runs(1 - reliability + 1e-5, confidence, form="with a uniform prior") == made
    assert runs(1 - reliability - 1e-4, confidence, form="with a uniform prior") == made + 1


def test_the_two_published_forms_differ_by_one_run_and_are_named() -> None:
    """95/95: 59 in the classical form, 58 with a uniform prior; 95/90: 29 and 28 (codingace.net)."""
    assert (runs(0.05, 0.95), runs(0.05, 0.95, form="with a uniform prior")) == (59, 58)
    assert (runs(0.10, 0.95), runs(0.10, 0.95, form="with a uniform prior")) == (29, 28)
    finding = runs_needed(RunsNeeded(worst_rate=0.05, form="with a uniform prior"))
    assert "uniform prior" in finding.source


@pytest.mark.parametrize("rate", [0, 1, 5, -0.1, math.nan])
def test_a_rate_is_a_fraction_and_never_nothing(rate: float) -> None:
    with pytest.raises(ValidationError):
        RunsNeeded(worst_rate=rate, confidence=0.95)


# --- runs with and without failures


def bounds(failures: int, runs_made: int, confidence: float, sides: str = "two-sided") -> list[float]:
    given_runs = Intermittent.model_validate(
        {"runs": runs_made, "failures": failures, "confidence": confidence, "sides": sides}
    )
    found = figures(intermittent(given_runs))
    assert found["rate"] == failures / runs_made
    return [float(found["lower"]), float(found["upper"])]


@pytest.mark.parametrize(
    ("failures", "made", "confidence", "lower", "upper"),
    [
        (3, 20, 0.95, 0.0321, 0.3789),  # codingace.net/statistics/clopper_pearson_interval.html
        (12, 30, 0.90, 0.2495, 0.5661),
        (42, 100, 0.95, 0.3220, 0.5229),
        (85, 120, 0.99, 0.5904, 0.8092),
    ],
)
def test_exact_bounds_as_published(failures: int, made: int, confidence: float, lower: float, upper: float) -> None:
    assert bounds(failures, made, confidence) == pytest.approx([lower, upper], abs=5e-5)


@pytest.mark.parametrize(
    ("failures", "made", "confidence", "lower", "upper"),
    [
        (4, 20, 0.90, 0.071354, 0.401028),  # NIST e-Handbook 7.2.4.1; attribution from memory
        (682, 925, 0.95, 0.707668, 0.765407),  # R, help of binom.test (Conover); attribution from memory
        (1, 30, 0.95, 0.000844, 0.172169),  # one failure in thirty: nobody can claim less than 5 %
    ],
)
def test_exact_bounds_to_six_digits(failures: int, made: int, confidence: float, lower: float, upper: float) -> None:
    assert bounds(failures, made, confidence) == pytest.approx([lower, upper], abs=1e-6)


def test_a_lower_bound_to_many_digits() -> None:
    """scipy, example of binomtest: 3 of 15, 95 %, one-sided: lower .05684686759024681."""
    assert bounds(3, 15, 0.95, "one-sided")[0] == pytest.approx(0.05684686759024681, rel=1e-9)


def p_value(failures: int, made: int, worst_rate: float) -> float:
    found = figures(intermittent(Intermittent(runs=made, failures=failures, worst_rate=worst_rate)))
    return float(found["p_value"])


def test_how_likely_so_many_failures_would_be() -> None:
    """scipy, example of binomtest: 3 of 15 against p = 0.1, "greater": p-value .18406106910639114."""
    assert p_value(3, 15, 0.1) == pytest.approx(0.18406106910639114, abs=1e-9)


@settings(max_examples=100, deadline=None)
@given(st.integers(1, 3000), st.floats(0, 1), st.floats(0.001, 0.9))
def test_that_probability_as_an_independent_library_works_it(made: int, share: float, rate: float) -> None:
    """scipy.stats.binomtest, alternative greater."""
    failures = round(share * made)
    expected = binomtest(failures, made, rate, alternative="greater").pvalue
    assert p_value(failures, made, rate) == pytest.approx(expected, rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(
    ("made", "sides", "upper"),
    [
        (1500, "one-sided", 0.0019952),  # rule of three: findatwiki.com/Rule_of_three_(statistics)
        (300, "one-sided", 0.0099361),
        (10, "one-sided", 0.25887),
        (20, "one-sided", 0.13911),
        (30, "one-sided", 0.09503),
        (30, "two-sided", 0.115703),  # rdrr.io, GenBinomApps clopper.pearson.ci: not the one-sided figure
    ],
)
def test_no_failure_still_allows_some(made: int, sides: str, upper: float) -> None:
    """1 - α^(1/n), and α/2 for two sides."""
    assert bounds(0, made, 0.95, sides) == pytest.approx([0, upper], rel=1e-4)


@pytest.mark.parametrize(("confidence", "multiplier"), [(0.95, 3.0), (0.97, 3.51), (0.99, 4.61), (0.995, 5.3)])
def test_the_rule_of_three_and_its_sisters(confidence: float, multiplier: float) -> None:
    """findatwiki.com/Rule_of_three_(statistics): −ln α over n; BMJ Qual Saf 22:1042: 0 of 100 is at most 3 %."""
    assert bounds(0, 50_000, confidence, "one-sided")[1] * 50_000 == pytest.approx(multiplier, abs=6e-3)
    assert bounds(0, 100, 0.95, "one-sided")[1] == pytest.approx(0.03, abs=5e-4)


def test_returns_under_warranty() -> None:
    """3 returns of 20, 95 %: the published interval of 3 in 20."""
    assert bounds(3, 20, 0.95) == pytest.approx([0.0321, 0.3789], abs=5e-5)


@settings(max_examples=200, deadline=None)
@given(st.integers(1, 3000), st.floats(0, 1), st.floats(0.5, 0.9999))
def test_bounds_as_independent_libraries_work_them(made: int, share: float, confidence: float) -> None:
    """scipy.stats.beta, and statsmodels' proportion_confint with method beta."""
    failures = round(share * made)
    lower, upper = bounds(failures, made, confidence)
    alpha = 1 - confidence
    expected_lower = beta.ppf(alpha / 2, failures, made - failures + 1) if failures else 0.0
    expected_upper = beta.ppf(1 - alpha / 2, failures + 1, made - failures) if failures < made else 1.0
    assert [lower, upper] == pytest.approx([expected_lower, expected_upper], rel=1e-6, abs=1e-9)
    other = proportion_confint(failures, made, alpha=alpha, method="beta")
    assert [lower, upper] == pytest.approx(list(other), rel=1e-6, abs=1e-9)


@pytest.mark.parametrize(("failures", "made"), [(0, 1), (1, 1), (3, 15), (7, 100_000), (99_999, 100_000)])
def test_bounds_of_small_and_of_very_many_runs(failures: int, made: int) -> None:
    """scipy.stats.binomtest, proportion_ci of the exact kind."""
    expected = binomtest(failures, made).proportion_ci(0.95, "exact")
    assert bounds(failures, made, 0.95) == pytest.approx([expected.low, expected.high], rel=1e-6, abs=1e-9)


def test_twice_in_four_hundred_is_a_fault() -> None:
    finding = intermittent(Intermittent(runs=400, failures=2))
    assert finding.verdict is Verdict.FAIL
    assert "the fault is there" in finding.says


@pytest.mark.parametrize(("clean", "verdict"), [(298, Verdict.UNDECIDED), (299, Verdict.PASS)])
def test_the_clean_runs_needed_are_those_that_pass(clean: int, verdict: Verdict) -> None:
    """harishsnotebook.com: 299 clean runs show 99 % at 95 %."""
    assert intermittent(Intermittent(runs=clean, failures=0, worst_rate=0.01, confidence=0.95)).verdict is verdict


def test_more_failures_than_runs_are_refused() -> None:
    with pytest.raises(InputError, match="correct one"):
        intermittent(Intermittent(runs=3, failures=4))


@pytest.mark.parametrize("made", [0, -1])
def test_no_runs_say_nothing(made: int) -> None:
    with pytest.raises(ValidationError):
        Intermittent(runs=made, failures=0)


@settings(max_examples=100, deadline=None)
@given(st.integers(1, 400), st.floats(0, 1), st.floats(0.5, 0.999), st.sampled_from(("one-sided", "two-sided")))
def test_the_bounds_hold_the_share(made: int, share: float, confidence: float, sides: str) -> None:
    failures = round(share * made)
    lower, upper = bounds(failures, made, confidence, sides)
    assert 0 <= lower <= failures / made <= upper <= 1
