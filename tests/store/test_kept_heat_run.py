"""Readings by hand during a heat run while the database is away: each counts by the time at which it was read."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.store.cable import Cable
from tests.store.heat_shop import HeatShop, opened
from traveller.errors import Away
from traveller.store.workshop import Workshop


@pytest.fixture(name="shop")
def _shop(tmp_path: Path, database_url: str) -> Iterator[HeatShop]:
    shop = opened(database_url, tmp_path)
    yield shop
    shop.workshop.close()


def test_a_reading_counts_by_its_own_time_and_is_refused_after_the_run_was_stopped(
    shop: HeatShop, tmp_path: Path
) -> None:
    tag = shop.running()
    here = Workshop.open(shop.url, terminal="rig", overlay=shop.sheets, clock=shop.clock, folder=tmp_path / "rig")
    here.shop()
    names = [one.name for one in here.heat_runs.watch(tag).run.plan.load_channels]
    cable = Cable(here)
    cable.pull()
    with pytest.raises(Away, match="Stopping a run needs the database, and nothing was entered"):
        here.heat_runs.stop(tag, shop.tester, "no net")
    read_at = shop.later(10)
    here.heat_runs.reading(tag, shop.tester, dict.fromkeys(names, 5.0))
    assert [one.taken for one in here.heat_runs.watch(tag).run.readings] == [read_at]
    shop.later(20)
    cable.put_in()
    assert here.keeping.deliver() == 1
    (there,) = shop.workshop.heat_runs.watch(tag).run.readings
    assert (there.taken, there.values) == (read_at, dict.fromkeys(names, 5.0))

    cable.pull()
    here.heat_runs.reading(tag, shop.tester, dict.fromkeys(names, 6.0))
    shop.workshop.heat_runs.stop(tag, shop.tester, "the hold is met")
    cable.put_in()
    assert here.keeping.deliver() == 0
    (question,) = here.keeping.questions()
    assert "The run is stopped" in question.why[0]
    here.close()
