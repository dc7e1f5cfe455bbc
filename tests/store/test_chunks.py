"""What is said of one channel over a piece of samples, against the statistics module of Python."""

from __future__ import annotations

import math
import statistics
from array import array

import pytest
from hypothesis import given
from hypothesis import strategies as st

from traveller.store.chunks import summary

SAMPLES = st.lists(st.floats(), min_size=1, max_size=60)


@given(SAMPLES)
def test_the_summary_is_that_of_the_numbers_that_came(samples: list[float]) -> None:
    said = summary("t1", array("d", samples))
    known = [sample for sample in samples if math.isfinite(sample)]
    assert said.count == len(known)
    if known:
        assert (said.least, said.most, said.last) == (min(known), max(known), known[-1])
        middle = sum(sample / len(known) for sample in known)
        assert said.mean == pytest.approx(middle, rel=1e-9, abs=max(1e-9 * max(map(abs, known)), 1e-300))


def test_numbers_whose_sum_is_too_large_have_a_mean() -> None:
    assert summary("t1", array("d", [1.6e308, 1.2e308])).mean == pytest.approx(
        statistics.fmean([1.6e300, 1.2e300]) * 1e8
    )
