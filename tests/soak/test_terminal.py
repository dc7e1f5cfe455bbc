"""A short month at one terminal: what it holds at the end is what it held after the first third."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.screens.small_shop import lay_out
from tests.soak.terminal import Held, a_month
from tests.trials import trials

SCANS = trials(short=900, full=3_000)
pytestmark = pytest.mark.heavy


async def test_nothing_grows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Memory and objects by a ratio; of handles, threads and tasks no more than what one errand under way holds."""
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path))
    seen: list[Held] = []
    await a_month(lay_out(tmp_path), SCANS, SCANS // 6, seen.append)
    early, late = seen[1], seen[-1]
    assert late.memory_mb < 1.15 * early.memory_mb
    assert late.objects < 1.15 * early.objects
    assert late.files <= early.files + 2
    assert late.threads <= early.threads + 2
    assert late.tasks <= early.tasks + 2
    assert late.widgets <= 1.5 * early.widgets
