"""A run of four hours, its time compressed, from the plan to the verdict: followed by a process that is killed, watched
by two terminals, taken over by the next shift; and a second unit that its thermal picture fails."""

from __future__ import annotations

import math
import signal
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from demo.camera import PLACES, area_of, power_stage, write_table
from demo.logger import Bench, lines
from tests.standing_of import standing_of
from tests.store.heat_shop import HeatShop, opened
from tests.store.test_killed_follower import follow, read_so_far
from traveller.judgement import Verdict
from traveller.record.acts.thermal import Conditions
from traveller.record.evidence import State
from traveller.record.heat_runs.changes import Changes, changed
from traveller.record.heat_runs.watch import RunWatch
from traveller.record.run_entries import Judged
from traveller.record.thermal import read_area
from traveller.store.follower import IMPORTED_SECONDS, Follower
from traveller.store.heat_runs import AfterJudging
from traveller.store.workshop import Workshop
from traveller.vocabulary import HazardKind

BENCH = Bench(seconds=5)
DIP = timedelta(minutes=BENCH.hold_from + (BENCH.dip_minute or 0))
AGAIN = DIP + timedelta(seconds=BENCH.dip_seconds)
TRUE_END = BENCH.ambient + BENCH.rise
SIXTY_PERCENT = -BENCH.tau * math.log(0.4)
"""Minutes to 60 % of what is left of a first-order way up: 1 − e^(−t/τ) = 0.6."""


def kept_until(shop: HeatShop, tag: str, at: datetime, patience: float = 90) -> None:
    until = time.monotonic() + patience
    while read_so_far(shop, tag) < at.timestamp() and time.monotonic() < until:
        time.sleep(0.1)
    assert read_so_far(shop, tag) >= at.timestamp()


def told(watched: RunWatch) -> tuple[object, ...]:
    """What two terminals have to see alike."""
    return watched.hold.started, watched.hold.restarted, watched.hold.met_at, watched.last, watched.heats


def part(parts: tuple[Judged, ...], name: str) -> Judged:
    return next(one for one in parts if one.name == name)


def finished(shop: HeatShop, tag: str, why: str, *instruments: str) -> AfterJudging:
    shop.workshop.heat_runs.stop(tag, shop.tester, why)
    meter = shop.workshop.registry.register_instrument(f"Meter {tag}", "multimeter", date(2090, 1, 1), shop.lead)
    dead = shop.workshop.answer(tag, "load_test.made_dead", "2", shop.tester, [meter])
    assert HazardKind.ENERGISED not in dead.unit.hazards
    return shop.workshop.heat_runs.judge(tag, shop.tester, [shop.analyser, shop.thermometer, *instruments])


def test_four_hours_two_terminals_a_kill_a_shift_change_and_the_verdict(database_url: str, tmp_path: Path) -> None:
    shop = opened(database_url, tmp_path)
    begin = shop.now = datetime.now(UTC).replace(microsecond=0) - timedelta(hours=5)
    tag, runs = shop.at_load_test(), shop.workshop.heat_runs
    shop.ready(tag)
    plan = changed(runs.suggested(tag), Changes(hold="180"))
    runs.plan(tag, shop.rig, shop.tester, plan)
    runs.start(tag, shop.tester)
    second = shop.terminal()
    rows, path = list(lines(BENCH, begin)), tmp_path / "logger.csv"

    def write(minutes: float) -> datetime:
        path.write_text("".join(rows[: int(minutes * 60 / BENCH.seconds) + 2]), encoding="utf-8")
        return begin + timedelta(minutes=int(minutes))

    # the evening shift follows; the dip breaks the hold, both terminals see the same
    before_dip = write(DIP.total_seconds() / 60 - 5)
    process = follow(shop, tag, path)
    kept_until(shop, tag, before_dip)
    shop.now = before_dip
    assert runs.watch(tag).hold.started == begin + timedelta(minutes=BENCH.hold_from)
    kept_until(shop, tag, write_on(path, rows, AGAIN.total_seconds() / 60 + 10, begin))
    shop.now = begin + AGAIN + timedelta(minutes=10)
    assert process.poll() is None, "it was still at work"
    process.send_signal(signal.SIGKILL)
    process.wait()
    here, there = runs.watch(tag), second.heat_runs.watch(tag)
    assert told(here) == told(there)
    assert [why for _, why in here.hold.restarted] == ["out of the band"]
    assert abs(here.hold.restarted[0][0] - (begin + DIP)) <= timedelta(seconds=BENCH.seconds)
    assert here.hold.started == begin + AGAIN
    assert here.hold.will_be_met_at == begin + AGAIN + timedelta(minutes=180)

    # the night shift goes on from another terminal; from 60 % of the way the end is known within 1 K
    sixty = AGAIN.total_seconds() / 60 + SIXTY_PERCENT
    for minutes in (sixty + 1, sixty + 20, sixty + 60):
        shop.now = write(minutes)
        Follower(second, tag, shop.lead).take_all(path)
        here, there = runs.watch(tag), second.heat_runs.watch(tag)
        assert told(here) == told(there)
        (heat,) = here.heats
        final = heat.figure("final_c")
        assert final is not None and abs(final - TRUE_END) <= 1.0, (minutes, heat.says)
    shop.now = write(BENCH.minutes)
    process = follow(shop, tag, path, "--until-end")
    said, _ = process.communicate(timeout=120)
    assert process.returncode == 0, said
    assert {one.by for one in shop.workshop.unit(tag).entries if one.body.kind == "samples kept"} == {
        shop.tester,
        shop.lead,
    }
    times = [at for batch in runs.samples(tag) for at in batch.times]
    assert times == [begin.timestamp() + BENCH.seconds * number for number in range(len(rows) - 1)]

    # the verdict with its working, the same from both terminals
    shop.later(1)
    after = finished(shop, tag, "the hold is met")
    parts = after.judgement.parts
    assert after.judgement.verdict is Verdict.PASS, parts
    assert after.judgement.unanswered == ()
    held = part(parts, "hold").finding
    assert f"began again at {begin + DIP:%H:%M:%S} UTC: out of the band" in held.working
    assert held.values[0].value == (timedelta(minutes=BENCH.minutes) - AGAIN).total_seconds() / 60
    assert "U: 11.4 A to 12.6 A" in held.working
    foretold = next(one.value for one in part(parts, "heatsink: steady").finding.values if one.name == "final_c")
    assert abs(float(foretold) - TRUE_END) <= 1.0
    judged = second.heat_runs.watch(tag).run.judged
    assert judged and judged.parts == parts
    assert shop.workshop.verify() == second.verify() == []
    second.close()
    shop.workshop.close()


def write_on(path: Path, rows: list[str], minutes: float, begin: datetime) -> datetime:
    """Further lines at the end of a file that is followed, as a logger adds them."""
    there = len(path.read_text(encoding="utf-8").splitlines())
    upto = int(minutes * 60 / BENCH.seconds) + 2
    with path.open("a", encoding="utf-8") as file:
        file.write("".join(rows[there:upto]))
    return begin + timedelta(minutes=int(minutes))


def test_a_second_unit_is_failed_by_its_hot_sibling(database_url: str, tmp_path: Path) -> None:
    """18 K over its siblings is more than 15 K: "major" in ANSI/NETA MTS table 100.18, similar components."""
    shop = opened(database_url, tmp_path)
    camera = shop.workshop.registry.register_instrument("Camera 1", "thermal camera", date(2090, 1, 1), shop.lead)
    verdicts = {}
    for serial, extra in (("good", 0.0), ("hot", 18.0)):
        tag = shop.running(serial)
        run_through(shop.workshop, shop, tag, tmp_path / f"{serial}.log")
        path = tmp_path / f"{serial}.csv"
        write_table(path, power_stage(hot="Q4", extra=extra))
        places = [read_area(area_of(name), "stage") for name in PLACES]
        file, full = shop.workshop.thermal.read(str(path)), Conditions(ambient=26.0, load_fraction=1.0)
        shop.workshop.thermal.take(tag, shop.tester, file, full, places, [camera])
        after = finished(shop, tag, "the hold is met")
        verdicts[serial] = after.judgement.verdict
        bad = {one.name for one in after.judgement.parts if one.finding.verdict is Verdict.FAIL}
        assert bad == ({"thermal picture, Q4"} if extra else set())
        assert standing_of(after.view, "load_test.hot_spot").state is (State.FAILED if extra else State.PASSED)
        assert any(one.check == "load_test.hot_spot" for one in after.view.reasons) is bool(extra)
        found = [one.found for one in after.view.unit.open_nonconformities()]
        assert [one.startswith("heat run: thermal picture, Q4: ") for one in found] == [True] * bool(extra)
    assert verdicts == {"good": Verdict.PASS, "hot": Verdict.FAIL}
    shop.workshop.close()


def run_through(workshop: Workshop, shop: HeatShop, tag: str, path: Path) -> None:
    """A sound run of an hour and a half at full load, read in at its end."""
    bench = Bench(tau=15, seconds=10, steps=((50, 10), (100, 90)), dip_minute=None)
    path.write_text("".join(lines(bench, shop.now)), encoding="utf-8")
    shop.later(bench.minutes)
    assert Follower(workshop, tag, shop.tester, seconds=IMPORTED_SECONDS).take_all(path).faults == ()
