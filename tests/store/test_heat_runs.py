"""A heat run the whole way through the store, on both engines."""

from __future__ import annotations

import hashlib
import zlib
from collections.abc import Iterator
from datetime import timedelta
from io import BytesIO, TextIOWrapper
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from sqlalchemy import select, text

from demo.logger import Bench, lines
from tests.standing_of import standing_of
from tests.store.heat_shop import START, HeatShop, opened
from tests.store.test_workshop_races import Act, at_once
from traveller.errors import InputError, NotReachable, Refused
from traveller.judgement import Verdict
from traveller.record.brief.matter import Section
from traveller.record.run_entries import SamplesKept
from traveller.store.engine import writing
from traveller.store.follower import IMPORTED_SECONDS, Follower, Said, Tick, piped, tail
from traveller.store.tables import sample_chunk
from traveller.store.workshop import Workshop
from traveller.vocabulary import HazardKind

SHORT = Bench(tau=15, rise=40, seconds=5, steps=((25, 10), (50, 10), (75, 10), (100, 100)))


@pytest.fixture(name="shop")
def _shop(database_url: str, tmp_path: Path) -> Iterator[HeatShop]:
    shop = opened(database_url, tmp_path)
    yield shop
    shop.workshop.close()


def written(folder: Path, bench: Bench = SHORT, rows: int | None = None) -> Path:
    path = folder / "logger.csv"
    path.write_text("".join(list(lines(bench, START))[:rows]), encoding="utf-8")
    return path


def follower(shop: HeatShop, tag: str, seconds: float = 60, said: Said = Said()) -> Follower:  # noqa: B008
    return Follower(shop.workshop, tag, shop.tester, said, seconds)


def test_the_whole_run(shop: HeatShop, tmp_path: Path) -> None:
    """Planned, refused while checks are open, run with a dip at minute 20 of the hold, stopped, judged, answered."""
    tag, runs = shop.at_load_test(), shop.workshop.heat_runs
    runs.plan(tag, shop.rig, shop.tester)
    (booking,) = shop.workshop.rigs.booked()[shop.rig]
    assert booking.ends - booking.begins == timedelta(minutes=30 + 60 + 30)
    with pytest.raises(Refused, match="before full power") as refusal:
        runs.start(tag, shop.tester)
    assert len(refusal.value.reasons) == 6
    shop.ready(tag)
    assert HazardKind.ENERGISED in runs.start(tag, shop.tester).unit.hazards
    assert [one.in_use() for one in shop.workshop.rigs.booked()[shop.rig]] == [True]
    shop.later(SHORT.minutes)
    report = follower(shop, tag, IMPORTED_SECONDS).take_all(written(tmp_path))
    assert (report.samples, report.faults) == (1561, ())
    watched = runs.watch(tag)
    assert watched.hold.met
    assert [why for _, why in watched.hold.restarted] == ["out of the band"]
    dip = START + timedelta(minutes=50)
    assert abs(watched.hold.restarted[0][0] - dip) <= timedelta(seconds=5)
    assert watched.hold.met_at == dip + timedelta(minutes=60, seconds=30)
    assert HazardKind.HOT in watched.view.unit.hazards
    runs.stop(tag, shop.tester, "hold met")
    assert shop.workshop.rigs.booked()[shop.rig] == []
    first = runs.judge(tag, shop.tester)
    assert first.judgement.verdict is Verdict.PASS, first.judgement.parts
    assert len(first.judgement.unanswered) == 2  # which power analyser, which thermometer
    after = runs.judge(tag, shop.tester, [shop.analyser, shop.thermometer])
    assert after.judgement.unanswered == ()
    for key in ("hold_minutes", "load_amps", "temperatures"):
        assert standing_of(after.view, f"load_test.{key}").state.counts, key
    assert HazardKind.ENERGISED in after.view.unit.hazards
    dead = shop.workshop.registry.register_instrument("Meter", "multimeter", START.date().replace(2090), shop.lead)
    assert (
        HazardKind.ENERGISED
        not in shop.workshop.answer(tag, "load_test.made_dead", "2", shop.tester, [dead]).unit.hazards
    )


def test_a_run_that_was_cut_short_fails_and_is_put_down(shop: HeatShop) -> None:
    tag = shop.running()
    for _ in range(4):
        shop.later(10)
        shop.workshop.heat_runs.reading(
            tag, shop.tester, {"U": 12, "V": 12.1, "W": 11.9, "heatsink": 50, "ambient": 23}
        )
    with pytest.raises(InputError, match=r"heatsink: 5000 °C cannot be"):
        shop.workshop.heat_runs.reading(tag, shop.tester, {"heatsink": 5000})
    watched = shop.workshop.heat_runs.watch(tag)
    assert watched.hold.held_minutes == 30
    assert watched.hold.will_be_met_at == START + timedelta(minutes=70)
    assert watched.due == shop.now + timedelta(minutes=10)
    shop.workshop.heat_runs.stop(tag, shop.tester, "smell of hot varnish")
    after = shop.workshop.heat_runs.judge(tag, shop.tester, [shop.analyser, shop.thermometer])
    assert after.judgement.verdict is Verdict.FAIL
    (bad,) = after.view.unit.open_nonconformities()
    assert "only 30 min of 60 min" in bad.found
    again = shop.workshop.heat_runs.judge(tag, shop.tester)
    assert len(again.view.unit.open_nonconformities()) == 1


def test_while_something_is_wrong_with_the_input_nothing_passes(shop: HeatShop, tmp_path: Path) -> None:
    tag = shop.running()
    rows = list(lines(SHORT, START))
    cells = rows[100].split(",")
    rows[100] = ",".join([*cells[:4], "open", *cells[5:]])
    path = tmp_path / "logger.csv"
    path.write_text("".join(rows), encoding="utf-8")
    shop.later(SHORT.minutes)
    follower(shop, tag).take_all(path)
    shop.workshop.heat_runs.stop(tag, shop.tester, "hold met")
    used = [shop.analyser, shop.thermometer]
    judged = shop.workshop.heat_runs.judge(tag, shop.tester, used).judgement
    assert (judged.verdict, len(judged.unanswered)) == (Verdict.UNDECIDED, 1)
    shop.workshop.heat_runs.settle(tag, shop.tester, "not a number:heatsink", "plug pushed home, one row only")
    assert shop.workshop.heat_runs.judge(tag, shop.tester, used).judgement.verdict is Verdict.PASS


def test_one_rig_two_runs(shop: HeatShop) -> None:
    shop.running()
    other = shop.at_load_test("A2")
    with pytest.raises(Refused, match="in use by"):
        shop.workshop.heat_runs.plan(other, shop.rig, shop.tester)
    assert shop.workshop.unit(other).unit.heat_runs == {}


def test_two_runs_planned_on_one_rig_at_the_same_moment(shop: HeatShop) -> None:
    units = (shop.at_load_test("A1"), shop.at_load_test("A2"))
    other = shop.terminal()

    def planning(workshop: Workshop, tag: str) -> Act:
        return lambda: workshop.heat_runs.plan(tag, shop.rig, shop.tester)

    ended = at_once(planning(shop.workshop, units[0]), planning(other, units[1]))
    assert sum(isinstance(one, Refused) for one in ended) == 1
    assert sum(bool(shop.workshop.unit(tag).unit.heat_runs) for tag in units) == 1
    assert len(shop.workshop.rigs.booked()[shop.rig]) == 1
    other.close()


def test_a_rig_that_is_too_small_is_refused_with_the_working(shop: HeatShop) -> None:
    tag = shop.at_load_test(output_amps=60.0)
    with pytest.raises(Refused, match=r"amps 60 A above 48 A"):
        shop.workshop.heat_runs.plan(tag, shop.rig, shop.tester)


def test_a_plan_can_be_changed_until_the_run_starts(shop: HeatShop) -> None:
    tag, runs = shop.at_load_test(), shop.workshop.heat_runs
    runs.plan(tag, shop.rig, shop.tester)
    longer = runs.suggested(tag).model_copy(update={"gap_minutes": 5.0})
    view = runs.plan(tag, shop.rig, shop.tester, longer)
    assert len(view.unit.heat_runs) == 1
    assert runs.watch(tag).run.plan.gap_minutes == 5
    assert len(shop.workshop.rigs.booked()[shop.rig]) == 1


def test_what_a_follower_had_put_by_is_not_lost_and_comes_once(shop: HeatShop, tmp_path: Path) -> None:
    """The first follower is stopped in the middle of a chunk without a word; the second begins with the file."""
    tag = shop.running()
    rows = list(lines(SHORT, START))
    first = follower(shop, tag)
    shop.later(SHORT.minutes)
    for row in rows[:500]:
        first._line(row)
    first._flush(lambda _words: None)
    watched = shop.workshop.heat_runs.watch(tag)
    assert watched.read_at == START + timedelta(seconds=5 * 498)
    path = written(tmp_path)
    other = HeatShop(**{**shop.__dict__, "workshop": shop.terminal()})
    report = follower(other, tag).follow(tail(path, until_end=True), "logger.csv")
    times = [at for batch in shop.workshop.heat_runs.samples(tag) for at in batch.times]
    assert times == [(START + timedelta(seconds=5 * number)).timestamp() for number in range(len(rows) - 1)]
    assert report.kept_before == 499
    other.workshop.close()


def test_two_followers_of_one_logger_do_not_keep_it_twice(shop: HeatShop) -> None:
    tag = shop.running()
    one, two = follower(shop, tag), follower(shop, tag)
    shop.later(SHORT.minutes)
    for row in list(lines(SHORT, START))[:200]:
        one._line(row)
        two._line(row)
    one._flush(lambda _words: None)
    with pytest.raises(Refused, match="does another terminal follow"):
        two._flush(lambda _words: None)


def test_a_file_that_is_replaced_is_said(shop: HeatShop, tmp_path: Path) -> None:
    tag = shop.running()
    shop.later(60)
    path = written(tmp_path, rows=100)
    source = tail(path)
    taken = follower(shop, tag)
    feed: list[str | Tick] = []
    for line in source:
        if line == "nothing new" and len(feed) == 100:
            path.unlink()
            written(tmp_path, rows=150)
        elif line == "nothing new":
            break
        feed.append(line)
    assert feed.count("replaced") == 1
    report = taken.follow(feed, "logger.csv")
    assert [fault.fault for fault in report.faults] == ["file replaced"]
    assert report.samples == 149


def test_a_file_that_is_gone_just_as_it_is_opened_again_is_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = written(tmp_path, rows=2)
    source = tail(path)
    assert [next(source) for _ in range(3)][2] == "nothing new"
    path.unlink()
    written(tmp_path, rows=3)
    gone = iter([True, False])

    def open_then(*words: Any, **named: Any) -> Any:
        if next(gone):
            raise FileNotFoundError(2, "No such file or directory")
        return opening(*words, **named)

    opening = Path.open
    monkeypatch.setattr(Path, "open", open_then)
    assert next(source) == "nothing new"
    assert next(source) == "replaced"


def test_a_pipe_that_is_not_utf_8_is_read_to_its_end() -> None:
    """The degree sign of a logger that writes ISO 8859-1 (byte B0)."""
    stream = TextIOWrapper(BytesIO("time,heatsink [°C]\n0,21.5\n".encode("latin-1")), encoding="utf-8")
    assert list(piped(stream)) == ["time,heatsink [\ufffdC]\n", "0,21.5\n"]


def test_samples_are_packed_as_the_docs_say(shop: HeatShop, tmp_path: Path) -> None:
    """Read with numpy: little-endian float64 times, float32 columns, under the SHA-256 of the entry."""
    tag = shop.running()
    follower(shop, tag, IMPORTED_SECONDS).take_all(written(tmp_path, rows=60))
    (body,) = [one.body for one in shop.workshop.unit(tag).entries if isinstance(one.body, SamplesKept)]
    with writing(shop.workshop.engine) as connection:
        data = bytes(connection.execute(select(sample_chunk.c.bytes)).scalar_one())
    assert hashlib.sha256(data).hexdigest() == body.sha256
    plain = zlib.decompress(data)
    times = np.frombuffer(plain[: 8 * 59], "<f8")
    values = np.frombuffer(plain[8 * 59 :], "<f4").reshape(5, 59)
    rows = [row.split(",") for row in list(lines(SHORT, START))[1:60]]
    assert times == pytest.approx([START.timestamp() + 5 * number for number in range(59)])
    assert values == pytest.approx(np.array([[float(cell) for cell in row[1:]] for row in rows]).T, rel=1e-6)
    summary = body.channels[3]
    assert (summary.least, summary.most) == pytest.approx((values[3].min(), values[3].max()), rel=1e-6)
    assert summary.mean == pytest.approx(values[3].mean(), rel=1e-5)


def test_samples_that_were_changed_are_found(shop: HeatShop, tmp_path: Path) -> None:
    tag = shop.running()
    follower(shop, tag).take_all(written(tmp_path, rows=60))
    with writing(shop.workshop.engine) as connection:
        connection.execute(text("UPDATE sample_chunk SET bytes = :bytes WHERE number = 1"), {"bytes": b"other"})
    with pytest.raises(NotReachable, match="was changed"):
        shop.workshop.heat_runs.samples(tag)


def test_columns_are_told_once_for_their_headings(shop: HeatShop, tmp_path: Path) -> None:
    tag = shop.running()
    path = tmp_path / "other.csv"
    path.write_text("t;CH1;CH2;CH3;CH4;CH5\n0;12,1;12;11,9;30;23\n5;12;12;12;30,5;23,1\n", encoding="utf-8")
    with pytest.raises(InputError, match="No column is U"):
        follower(shop, tag).take_all(path)
    told = {"CH1": "U", "CH2": "V", "CH3": "W", "CH4": "heatsink", "CH5": "ambient"}
    assert follower(shop, tag, said=Said(channels=told)).take_all(path).samples == 2
    path.write_text(path.read_text(encoding="utf-8") + "10;12;12;12;31;23\n", encoding="utf-8")
    assert follower(shop, tag).take_all(path).samples == 1
    assert shop.workshop.heat_runs.watch(tag).last["heatsink"][1] == pytest.approx(31)


def test_the_next_shift_reads_what_runs_and_what_is_booked(shop: HeatShop) -> None:
    """Until the run is stopped, and no longer; times by the clock on the wall."""
    tag, runs = shop.at_load_test(), shop.workshop.heat_runs

    def lines_of(section: Section) -> list[str]:
        return [one.says for one in shop.workshop.briefing.brief(shop.lead).under(section) if one.unit == tag]

    runs.plan(tag, shop.rig, shop.tester)
    assert any("is booked for" in line for line in lines_of(Section.DUE))
    assert not any("heat run" in line for line in lines_of(Section.RUNNING))
    shop.ready(tag)
    runs.start(tag, shop.tester)
    running = lines_of(Section.RUNNING)
    assert any("next reading of the heat run" in line for line in running)
    named = shop.workshop.shop().called(shop.rig)
    assert named != shop.rig
    assert all(f"{named} {shop.rig}" in line for line in running if "heat run" in line)
    assert any("ends if nothing breaks it: held 0 of 60 min" in line for line in running)
    assert not any("is booked for" in line for line in lines_of(Section.DUE))
    runs.stop(tag, shop.tester, "belt slips")
    assert not any("heat run" in line for line in lines_of(Section.RUNNING))
