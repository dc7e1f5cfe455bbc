"""A follower that is killed, and one that goes on: every sample of the file is kept, each once, on both engines."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

from demo.logger import Bench, lines
from tests.store.heat_shop import HeatShop, opened

BENCH = Bench(seconds=1, steps=((50, 5), (100, 25)), dip_minute=5)
COMMAND = "from traveller.commands import main; main()"


def follow(shop: HeatShop, tag: str, path: Path, *more: str) -> subprocess.Popen[str]:
    words = ["--database", shop.url, "--as", shop.tester, "run", tag, "follow", str(path), *more]
    folders = {"TRAVELLER_STATIONS": str(shop.sheets), "TRAVELLER_HOME": str(path.parent / "home")}
    environment = {**os.environ, **folders, "PYTHONPATH": os.pathsep.join(sys.path)}
    return subprocess.Popen(
        [sys.executable, "-c", COMMAND, *words],
        env=environment,
        text=True,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    )


def read_so_far(shop: HeatShop, tag: str) -> float:
    watched = shop.workshop.heat_runs.watch(tag)
    return max((at for at, _ in watched.last.values()), default=0.0)


def test_killed_in_the_middle_and_begun_again(database_url: str, tmp_path: Path) -> None:
    shop = opened(database_url, tmp_path)
    shop.now = datetime.now(UTC).replace(microsecond=0) - timedelta(hours=1)
    tag, begin = shop.running(), shop.now
    rows = list(lines(BENCH, begin))
    path = tmp_path / "logger.csv"
    path.write_text("".join(rows[:700]), encoding="utf-8")
    first = follow(shop, tag, path)
    until = time.monotonic() + 60
    while read_so_far(shop, tag) < begin.timestamp() + 690 and time.monotonic() < until and first.poll() is None:
        time.sleep(0.1)
    first.send_signal(signal.SIGKILL)
    first.wait()
    kept = read_so_far(shop, tag)
    assert kept >= begin.timestamp() + 690, first.stdout.read() if first.stdout else ""
    before = shop.workshop.heat_runs.watch(tag)
    path.write_text("".join(rows), encoding="utf-8")
    second = follow(shop, tag, path, "--until-end")
    said, _ = second.communicate(timeout=120)
    assert second.returncode == 0, said
    times = [at for batch in shop.workshop.heat_runs.samples(tag) for at in batch.times]
    assert times == [begin.timestamp() + number for number in range(len(rows) - 1)]
    after = shop.workshop.heat_runs.watch(tag)
    assert before.hold.restarted == after.hold.restarted
    assert [why for _, why in after.hold.restarted] == ["out of the band"]
    assert after.hold.started == begin + timedelta(minutes=10, seconds=30)
    shop.workshop.close()
