"""A logger's file of a day (10 Hz, 12 channels) imported and judged, against pandas and numpy on the same file.

Ours is what a person at the rig asks for: every row read and checked, cut into chunks, packed, kept in one durable
transaction, the run stopped and judged. The floor reads the file with ``pandas.read_csv``, makes times of its times,
and works out with numpy what the verdict goes by; it keeps nothing and finds no fault. Each go is a process of its
own, in turn, and imports only what it needs. Counted is the processor's time of that process, because the machine is
shared, and the most that it holds (``ru_maxrss`` would be that of whoever started it).
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.row import Row, Size, peak_memory

if TYPE_CHECKING:
    from tests.store.heat_shop import HeatShop
    from traveller.record.heat_runs.plan import Plan

PHASES, PARTS, AIR = ("U", "V", "W"), tuple(f"part {number}" for number in range(1, 9)), "ambient"
AMPS, HZ, SCATTER = 12.0, 10, (0.004, 0.15)
RAISED, RISE_MINUTES = (25, 50, 75), 10
BAND, GAP_SECONDS, END_SECONDS, CHUNK_SECONDS = 5.0, 900.0, 600.0, 300.0
ROUNDS = 3
Floats = NDArray[np.float64]
BEGIN = datetime(2031, 3, 3, 6, 0, tzinfo=UTC)


def plan(minutes: float) -> Plan:
    """Twelve channels; three steps up, then the hold for the rest of the file."""
    from traveller.record.heat_runs.channels import Channel
    from traveller.record.heat_runs.plan import Plan, Step

    hold = Step(percent=100, minutes=max(1.0, minutes - 1 - len(RAISED) * RISE_MINUTES), what="hold")
    return Plan(
        steps=(*(Step(percent=percent, minutes=RISE_MINUTES) for percent in RAISED), hold),
        channels=(
            *(Channel(name=name, quantity="current", rated=AMPS, load=True) for name in PHASES),
            *(Channel(name=name, quantity="temperature", at_most=85) for name in PARTS),
            Channel(name=AIR, quantity="ambient", at_most=45),
        ),
        band_percent=BAND,
        reading_minutes=10,
        gap_minutes=GAP_SECONDS / 60,
        criterion="2 K per hour, twice",
        hot_above=60,
        dead_minutes=20,
    )


def write(path: Path, minutes: int) -> None:
    """The file as a logger writes it: ISO 8601 with milliseconds and zone, values with three decimals."""
    chance = np.random.default_rng(7)
    seconds = np.arange(minutes * 60 * HZ) / HZ
    share = np.minimum(1.0, 0.25 + 0.25 * (seconds // (60 * RISE_MINUTES)))
    amps = [AMPS * share * chance.normal(1, SCATTER[0], len(seconds)) for _ in PHASES]
    warm = 40 * (1 - np.exp(-seconds / 2400))
    parts = [23 + number / 2 + warm + chance.normal(0, SCATTER[1], len(seconds)) for number in range(len(PARTS))]
    table = np.stack([*amps, *parts, chance.normal(23, 0.05, len(seconds))], axis=1)
    with path.open("w", encoding="utf-8") as file:
        heads = ["time", *(f"{name} [A]" for name in PHASES), *(f"{name} [°C]" for name in (*PARTS, AIR))]
        file.write(",".join(heads) + "\n")
        for number, values in enumerate(table.tolist()):
            at = (BEGIN + timedelta(seconds=number / HZ)).isoformat(timespec="milliseconds")
            file.write(f"{at},{','.join(f'{value:.3f}' for value in values)}\n")


# ---- ours -----------------------------------------------------------------------------------------------


def started(folder: Path, minutes: int) -> tuple[HeatShop, str]:
    """A shop whose unit runs on a rig since the file began."""
    from tests.store.heat_shop import opened

    shop = opened(f"sqlite:///{folder}/record.sqlite", folder)
    tag = shop.at_load_test()
    shop.ready(tag)
    shop.workshop.heat_runs.plan(tag, shop.rig, shop.tester, plan(minutes))
    shop.workshop.heat_runs.start(tag, shop.tester)
    shop.later(minutes)
    return shop, tag


def ours(path: Path, minutes: int) -> float:
    from traveller.store.follower import IMPORTED_SECONDS, Follower

    with tempfile.TemporaryDirectory() as folder:
        shop, tag = started(Path(folder), minutes)
        begun = time.process_time()
        report = Follower(shop.workshop, tag, shop.tester, seconds=IMPORTED_SECONDS).take_all(path)
        shop.workshop.heat_runs.stop(tag, shop.tester, "hold met")
        judged = shop.workshop.heat_runs.judge(tag, shop.tester, [shop.analyser, shop.thermometer]).judgement
        took = time.process_time() - begun
        assert report.samples == minutes * 60 * HZ and not report.faults, report
        assert judged.parts
        shop.workshop.close()
    return took


# ---- the floor ------------------------------------------------------------------------------------------


def floor(path: Path, _minutes: int) -> float:
    import pandas as pd

    begun = time.process_time()
    table = pd.read_csv(path)
    times = pd.to_datetime(table.pop("time"), utc=True).to_numpy("datetime64[us]").astype(np.int64) / 1e6
    held, _ = judged(times, table.to_numpy())
    took = time.process_time() - begun
    assert held > 0
    return took


def judged(times: Floats, values: Floats) -> tuple[float, dict[str, Floats]]:
    """What a verdict goes by: the longest stretch in the band (s); each channel over every five minutes, the mean at
    the end of that stretch, the highest of each, and where no sample came."""
    first = np.flatnonzero(np.diff((times - times[0]) // CHUNK_SECONDS, prepend=-1))
    counts = np.diff(first, append=len(times))[:, None]
    low, high = AMPS * (1 - BAND / 100), AMPS * (1 + BAND / 100)
    load = values[:, : len(PHASES)]
    inside = np.all((load >= low) & (load <= high), axis=1)
    gaps = np.diff(times) > GAP_SECONDS
    edges = np.flatnonzero(np.concatenate(([True], (np.diff(inside) != 0) | gaps, [True])))
    begins, ends = edges[:-1], edges[1:] - 1
    lengths = np.where(inside[begins], times[ends] - times[begins], -1.0)
    longest = int(lengths.argmax())
    at_end = (times >= times[ends[longest]] - END_SECONDS) & (times <= times[ends[longest]])
    return float(lengths[longest]), {
        "means": np.add.reduceat(values, first) / counts,
        "least": np.minimum.reduceat(values, first),
        "most": np.maximum.reduceat(values, first),
        "end": values[at_end].mean(axis=0),
        "highest": values.max(axis=0),
        "gaps": times[:-1][gaps],
    }


# ---- both in turn ---------------------------------------------------------------------------------------

GOES: dict[str, Callable[[Path, int], float]] = {"ours": ours, "floor": floor}


def go(which: str, path: Path, minutes: int) -> tuple[float, float]:
    """Seconds and peak of memory (MB) of one go in a process of its own."""
    command = [sys.executable, "-m", __name__, which, str(path), str(minutes)]
    done = subprocess.run(command, stdout=subprocess.PIPE, check=True)
    took, memory = json.loads(done.stdout)
    return took, memory


def measure(size: Size) -> list[Row]:
    minutes, rounds = size.choose(40, 120, 1440), size.choose(1, ROUNDS, ROUNDS)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "logger.csv"
        write(path, minutes)
        pairs = [(go("ours", path, minutes), go("floor", path, minutes)) for _ in range(rounds)]
    mine, bare = ([statistics.median(one) for one in zip(*goes, strict=True)] for goes in zip(*pairs, strict=True))
    rows = f"{minutes * 60 * HZ:,} rows of a logger"
    return [
        Row(f"{rows} imported and judged", mine[0], bare[0], "s", 2, mine[1]),
        Row(f"{rows}: memory", mine[1], bare[1], "MB", 1.5, mine[1]),
    ]


if __name__ == "__main__":
    _, which, file, long = sys.argv
    print(json.dumps((GOES[which](Path(file), int(long)), peak_memory())))
