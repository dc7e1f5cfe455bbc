"""Diagnosis: the critical values of the Grubbs test, against an independent library and printed tables."""

from __future__ import annotations

import math
from typing import get_args

import pytest
from scipy import stats as scipy_stats

from stations.diagnosis.outliers import Level, published
from stations.diagnosis.siblings import OddOneOut

LEVELS = published().grubbs.level
COUNTS = range(4, 49)


@pytest.mark.parametrize("level", LEVELS, ids=lambda one: f"{one.sides} {one.significance}")
def test_critical_values_as_an_independent_library_works_them(level: Level) -> None:
    """scipy.stats.t in the formula of NIST Dataplot, GRUBBS TEST: α/(2n) two-sided, α/n one-sided."""
    for count in COUNTS:
        tail = level.alpha / count / {"two-sided": 2, "one-sided": 1}[level.sides]
        quantile = scipy_stats.t.ppf(1 - tail, count - 2)
        critical = (count - 1) / math.sqrt(count) * math.sqrt(quantile**2 / (count - 2 + quantile**2))
        assert level.critical_for(count) == pytest.approx(critical, abs=1e-6)


PRINTED = {  # one-sided 5 %, two-sided 5 %, one-sided 1 %, two-sided 1 %
    4: (1.4625, 1.4813, 1.4925, 1.4963),
    5: (1.6714, 1.7150, 1.7489, 1.7637),
    6: (1.8221, 1.8871, 1.9442, 1.9728),
    7: (1.9381, 2.0200, 2.0973, 2.1391),
    8: (2.0317, 2.1266, 2.2208, 2.2744),
    9: (2.1096, 2.2150, 2.3231, 2.3868),
    10: (2.1761, 2.2900, 2.4097, 2.4821),
}


@pytest.mark.parametrize("count", PRINTED)
def test_critical_values_as_printed(count: int) -> None:
    """LibreTexts Analytic References, appendix 07. It prints 2.202 two-sided 5 % for seven, which breaks the row (more
    than for eight), and 2.755 two-sided 1 % for fifteen: slips for 2.020 and 2.806.
    """
    found = [
        published().grubbs.at(sides, significance).critical_for(count)
        for significance in ("5 %", "1 %")
        for sides in ("only high", "two-sided")
    ]
    assert found == pytest.approx(list(PRINTED[count]), abs=5.1e-5)


def test_the_slip_for_fifteen_is_not_repeated() -> None:
    """The same table; its own formula gives 2.806."""
    assert published().grubbs.at("two-sided", "1 %").critical_for(15) == pytest.approx(2.806, abs=5e-4)


@pytest.mark.parametrize("level", LEVELS, ids=lambda one: f"{one.sides} {one.significance}")
def test_a_table_that_reaches_to_the_largest_set(level: Level) -> None:
    assert len(level.critical) == len(COUNTS)
    assert list(level.critical) == sorted(level.critical)


def test_the_form_offers_exactly_the_levels_of_the_data_file() -> None:
    offered = {
        published().grubbs.at(sides, significance)
        for sides in get_args(OddOneOut.model_fields["sides"].annotation)
        for significance in get_args(OddOneOut.model_fields["significance"].annotation)
    }
    assert offered == set(LEVELS)
