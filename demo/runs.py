"""Heat runs on the rigs, with readings by hand, and the thermal picture at their end."""

from __future__ import annotations

import math
from datetime import datetime, timedelta

from traveller.record.acts.thermal import Conditions
from traveller.record.thermal import read_area
from traveller.vocabulary import Role

from .bench import Bench
from .camera import PLACES, area_of

AMBIENT, RISE, TAU = 23.4, 32.0, 14.0
"""°C, end of the rise of the heatsink (K), its time constant (min)."""
IN_PROGRESS, WHOLE = 72, 150
"""Minutes from the start to the end of the story: a hold that goes on, and one that was met."""
INSTRUMENTS = ("power analyser", "thermometer")


def start_run(bench: Bench, minutes: int) -> datetime:
    """Planned as usual and started so many minutes before the story's end."""
    runs = bench.workshop.heat_runs
    bench.view = runs.plan(bench.tag, bench.rig, bench.by(Role.LOAD_TESTER))
    bench.clock.reach(bench.clock.end - timedelta(minutes=minutes))
    bench.view = runs.start(bench.tag, _tester(bench))
    return bench.clock()


def read_on(bench: Bench, started: datetime, minutes: int) -> None:
    """A reading every ten minutes from the start on."""
    for minute in range(0, minutes + 1, 10):
        bench.clock.reach(started + timedelta(minutes=minute))
        values = _values(bench, minute)
        bench.view = bench.workshop.heat_runs.reading(bench.tag, _tester(bench), values)


def _tester(bench: Bench) -> str:
    """Of the crew that is on; a reading is not late because somebody else comes."""
    return bench.crew.who((Role.LOAD_TESTER,), bench.clock(), bench.sent.number)


def _values(bench: Bench, minute: int) -> dict[str, float]:
    """By the channels of a drive: three currents by the step, a heatsink that warms by a first-order law."""
    chance, amps = bench.answers.chance, bench.sent.nameplate.ratings["output_amps"]
    share = (0.25, 0.5, 0.75, 1.0)[min(3, minute // 10)]
    warm = RISE * (1 - math.exp(-max(0, minute - 12) / TAU))
    currents = {phase: round(amps * share * chance.uniform(0.992, 1.008), 2) for phase in "UVW"}
    return {
        **currents,
        "heatsink": round(AMBIENT + warm + chance.uniform(-0.04, 0.04), 1),
        "ambient": round(AMBIENT + chance.uniform(-0.1, 0.1), 1),
    }


def end_run(bench: Bench) -> None:
    """The hold is met: stopped and judged."""
    runs, instruments = bench.workshop.heat_runs, [bench.crew.instrument(one, 0) for one in INSTRUMENTS]
    bench.view = runs.stop(bench.tag, bench.by(Role.LOAD_TESTER), "the hold is met, temperatures steady")
    bench.view = runs.judge(bench.tag, bench.by(Role.LOAD_TESTER), instruments).view


def book_for_next_shift(bench: Bench, after: timedelta) -> None:
    """A planned run, written down lately; the rig is kept for the shift after the one that is on."""
    bench.clock.reach(bench.clock.end - timedelta(minutes=2))
    _, coming = bench.workshop.shifts.coming(2)
    by = bench.by(Role.LEAD, Role.LOAD_TESTER)
    bench.view = bench.workshop.heat_runs.plan(bench.tag, bench.crew.rigs[1], by, begins=coming.starts + after)


def thermal_picture(bench: Bench, hot: str = "", extra: float = 0.0) -> None:
    """The power stage at full load, six devices marked as siblings of each other."""
    camera = bench.workshop.thermal
    file = camera.read(str(bench.drawer.thermal(hot, extra)))
    areas = [read_area(area_of(name), "output stage") for name in PLACES]
    bench.view = camera.take(
        bench.tag,
        bench.by(Role.LOAD_TESTER),
        file,
        Conditions(ambient=24.5, load_fraction=1.0),
        areas,
        [bench.crew.instrument("thermal camera", 0)],
    )
