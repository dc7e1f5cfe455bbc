"""That every benchmark runs and hands back figures; what it takes is nobody's test."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from tests.benchmarks.__main__ import cells, line
from tests.benchmarks.row import NAMES, Row, Size, measured

MANY_PROCESSES = ("start",)


@pytest.mark.parametrize(
    "name", [pytest.param(name, marks=pytest.mark.heavy if name in MANY_PROCESSES else ()) for name in NAMES]
)
def test_runs_when_tiny(name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path))
    rows = measured(name, Size.TINY)
    assert rows
    for row in rows:
        assert math.isfinite(row.ours) and row.ours >= 0
        assert row.floor is None or (math.isfinite(row.floor) and row.floor > 0)
        assert row.memory > 1
        assert row.name in line(tuple(cells(row)))


@pytest.mark.parametrize(
    ("row", "word"),
    [
        (Row("a", 3.0, 2.0, "ms", 1.5, 40), "met"),
        (Row("a", 3.1, 2.0, "ms", 1.5, 40), "not met"),
        (Row("a", 50.0, None, "ms", 50, 40), "met"),
        (Row("a", 51.0, None, "ms", 50, 40), "not met"),
    ],
)
def test_met_is_of_the_ratio_or_of_ours_alone(row: Row, word: str) -> None:
    assert list(cells(row))[-1] == word
