"""Measuring, photos, joints, bags, parts and words to the shop while the database is away.

The rules are those of docs/record.md and docs/decisions/0009; digests are SHA-256 (FIPS 180-4) by hashlib;
`common practice` for everything else.
"""

from __future__ import annotations

import hashlib
import json
import stat
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from PIL import Image

from demo.camera import area_of, power_stage, write_table
from tests.pictures.made_files import file_of
from tests.small_shop import NOW, SmallShop
from tests.store.bench import Bench
from traveller.errors import Away, InputError, Refused
from traveller.record.acts.thermal import Conditions
from traveller.record.entries import Noted
from traveller.record.inspection_entries import JointClass
from traveller.record.photo_entries import PhotoTaken
from traveller.record.photos import all_photos
from traveller.record.runs import find, tally
from traveller.record.runs_entries import RunsCounted
from traveller.record.thermal import read_area
from traveller.record.thermal_entries import ThermalTaken
from traveller.stationbook import StationBook, load_stations
from traveller.store.desk import Desk
from traveller.store.engine import open_engine
from traveller.store.workshop import Workshop

SIX = ["Q1", "Q2", "Q3", "Q4", "Q5", "Q6"]


@pytest.fixture(name="photo")
def _photo(tmp_path: Path) -> str:
    path = tmp_path / "burnt.png"
    path.write_bytes(file_of(Image.new("RGB", (64, 48), "brown"), "PNG"))
    return str(path)


@pytest.fixture(name="all_sheets", scope="module")
def _all_sheets() -> StationBook:
    return load_stations()


@pytest.fixture(name="shipped")
def _shipped(shop: SmallShop, all_sheets: StationBook, tmp_path: Path) -> Iterator[Bench]:
    """The same shop by the sheets as they are shipped, with all their judges."""
    desk = Desk(open_engine(shop.url), all_sheets, "bench 3", lambda: NOW)
    desk.editions.register()
    other = Workshop(desk)
    bench = Bench(replace(shop, workshop=other), tmp_path / "bench 2")
    yield bench
    bench.workshop.close()
    other.close()


def seen(bench: Bench) -> str:
    """A unit that this terminal has looked at."""
    tag = bench.shop.booked()
    bench.workshop.unit(tag)
    return tag


def local_pictures(bench: Bench) -> list[Path]:
    return sorted((bench.folder / "pictures").glob("*"))


def counted(workshop: Workshop, tag: str, test: str = "warm start") -> tuple[int, int, int]:
    """(runs, failures, clean since the last failure)."""
    known = find(workshop.unit(tag).unit.runs, test)
    total = tally(known.batches if known else ())
    return total.runs, total.failures, total.clean


# ---- pictures -------------------------------------------------------------------------------------------


def test_a_photo_is_here_with_its_bytes_through_a_restart_and_arrives_whole(bench: Bench, tag: str, photo: str) -> None:
    shop = bench.shop
    bench.cable.pull()
    after = bench.workshop.photos.take(tag, shop.technician, photo, caption="burnt land")
    (kept,) = all_photos(after.unit)
    assert kept.entry in after.kept
    (file,) = local_pictures(bench)
    data = file.read_bytes()
    assert hashlib.sha256(data).hexdigest() == file.name == kept.sha256
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    Path(photo).unlink()
    bench.restart()
    bench.cable.pull()
    bench.workshop.desk.lately.saw(tag, shop.workshop.unit(tag))
    assert bench.workshop.photos.picture(kept.sha256) == data
    with pytest.raises(InputError, match="does not hold this picture"):
        shop.workshop.photos.picture(kept.sha256)

    assert bench.back() == 1
    (there,) = all_photos(shop.workshop.unit(tag).unit)
    assert (there.entry, there.caption, there.sha256) == (kept.entry, "burnt land", kept.sha256)
    assert shop.workshop.photos.picture(there.sha256) == data
    assert local_pictures(bench) == []
    assert shop.workshop.verify() == []


def test_a_photo_answers_its_check_while_away(bench: Bench, photo: str) -> None:
    shop, tag = bench.shop, bench.shop.booked()
    bench.workshop.unit(tag)
    bench.cable.pull()
    bench.workshop.answer(tag, "goods_in.photo", photo, shop.technician)
    assert bench.back() == 1
    (there,) = all_photos(shop.workshop.unit(tag).unit)
    assert there.of == "goods_in.photo"
    assert hashlib.sha256(shop.workshop.photos.picture(there.sha256)).hexdigest() == there.sha256


def test_one_picture_in_two_deeds_stays_until_both_are_shared(bench: Bench, tag: str, photo: str) -> None:
    shop = bench.shop
    bench.cable.pull()
    for what in ("before", "after"):
        bench.workshop.photos.take(tag, shop.technician, photo, caption=what)
    assert len(local_pictures(bench)) == 1
    assert bench.back() == 2
    assert [one.caption for one in all_photos(shop.workshop.unit(tag).unit)] == ["before", "after"]
    assert local_pictures(bench) == []


def test_a_picture_that_the_disk_damaged_comes_back_as_a_question(bench: Bench, tag: str, photo: str) -> None:
    bench.cable.pull()
    bench.workshop.photos.take(tag, bench.shop.technician, photo)
    (file,) = local_pictures(bench)
    file.write_bytes(file.read_bytes()[:-7])
    assert bench.back() == 0
    assert "burnt.png is not whole any more at this terminal: take it again" in bench.why()[0]
    assert all_photos(bench.shop.workshop.unit(tag).unit) == []


def test_a_dropped_photo_stays_at_the_terminal(bench: Bench, photo: str) -> None:
    """A sealed traveller takes no photo; what was taken is not thrown away."""
    shop = bench.shop
    tag = shop.ready()
    bench.workshop.unit(tag)
    bench.cable.pull()
    bench.workshop.photos.take(tag, shop.technician, photo)
    shop.workshop.release(tag, shop.clerk, "2468", "done")
    assert bench.back() == 0
    bench.workshop.keeping.drop(bench.which(), shop.technician, "it has left")
    (file,) = (bench.folder / "dropped_pictures").glob("*")
    assert hashlib.sha256(file.read_bytes()).hexdigest() == file.name
    assert local_pictures(bench) == []


def test_a_delivery_that_was_killed_after_the_commit_is_harmless(
    bench: Bench, tag: str, photo: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Killed(BaseException):
        pass

    def killed(*_any: object) -> None:
        raise Killed

    shop = bench.shop
    bench.cable.pull()
    bench.workshop.photos.take(tag, shop.technician, photo)
    bench.workshop.measuring.runs(tag, shop.technician, "warm start", 20, 0)
    bench.workshop.notices.note(shop.technician, "the oven is hot")
    for times in (1, 2):
        with monkeypatch.context() as patch:
            patch.setattr("traveller.store.keepsafe.Keepsafe.delivered", killed)
            with pytest.raises(Killed):
                bench.back()
        assert len(shop.workshop.unit(tag).unit.photos) == 1, f"the commit came through, time {times}"
        bench.restart()
        assert len(bench.workshop.keeping.waiting()) == 3
    assert bench.back() == 3
    assert bench.workshop.keeping.waiting() == []
    now = shop.workshop.unit(tag)
    assert sum(isinstance(one.body, PhotoTaken) for one in now.entries) == 1
    assert sum(isinstance(one.body, RunsCounted) for one in now.entries) == 1
    assert len(shop.workshop.shop().notices.notes) == 1
    assert local_pictures(bench) == []


def test_the_last_line_torn_off_is_told_and_what_came_before_is_shared(bench: Bench, tag: str, photo: str) -> None:
    shop = bench.shop
    bench.cable.pull()
    bench.workshop.measuring.runs(tag, shop.technician, "warm start", 20, 0)
    bench.workshop.photos.take(tag, shop.technician, photo)
    file = bench.folder / "kept.jsonl"
    file.write_bytes(file.read_bytes()[:-40])
    bench.restart()
    assert len(bench.workshop.keeping.waiting()) == 1
    assert bench.workshop.keeping.damaged == 1
    assert bench.back() == 1
    assert counted(shop.workshop, tag) == (20, 0, 20)
    assert len(local_pictures(bench)) == 1, "the bytes of a torn line are not thrown away"


# ---- in order, with the times -----------------------------------------------------------------------------


def test_deeds_of_many_desks_come_in_the_order_in_which_they_were_done(shipped: Bench, photo: str) -> None:
    bench, tag = shipped, seen(shipped)
    shop, workshop = bench.shop, bench.workshop
    before = len(shop.workshop.unit(tag).entries)
    bench.cable.pull()
    workshop.measuring.siblings(
        tag, shop.technician, "stage", "diode", ".42 .41 .43 .42 .41 .44", devices=SIX, unit="V"
    )
    workshop.measuring.runs(tag, shop.technician, "warm start", 20, 1, 3)
    workshop.photos.take(tag, shop.technician, photo)
    workshop.parts.add(tag, "C1-C2", "electrolytic", shop.technician, value="470u")
    workshop.parts.work_out(tag, shop.technician, ["Q6"])
    workshop.note(tag, shop.technician, "Q6 is next")
    here = workshop.unit(tag)
    assert [one.sequence for one in here.entries] == list(range(1, len(here.entries) + 1))
    assert bench.back() == 6
    there = shop.workshop.unit(tag)
    for one, other in zip(there.entries[before:], here.entries[before:], strict=True):
        assert one.body.model_dump() == other.body.model_dump()
    assert [one.id for one in there.entries] == [one.id for one in here.entries]
    assert {"C1", "C2", "Q6"} <= set(there.unit.work)
    assert shop.workshop.verify() == []
    assert not shop.workshop.cards_astray()


def test_the_clock_of_a_bag_runs_from_when_it_was_opened(shipped: Bench) -> None:
    """Floor life counts from the opening of the bag (J-STD-033, from memory), not from when the net was back."""
    bench, shop, tag = shipped, shipped.shop, seen(shipped)
    opened = bench.now
    bench.cable.pull()
    bench.workshop.bags.open(tag, "U7", "3", shop.technician)
    bench.now += timedelta(hours=5)
    bench.workshop.bags.close(tag, "U7", shop.technician)
    closed, bench.now = bench.now, bench.now + timedelta(hours=1)
    assert bench.back() == 2
    clock = shop.workshop.unit(tag).unit.clocks["U7"]
    assert (clock.since, clock.stopped_at) == (None, closed)
    assert clock.used_h == (closed - opened) / timedelta(hours=1)


def test_a_thermal_picture_is_judged_here_and_arrives_with_its_temperatures(shipped: Bench, tmp_path: Path) -> None:
    bench, shop, tag = shipped, shipped.shop, seen(shipped)
    write_table(tmp_path / "warm.csv", power_stage(hot="Q4", extra=20))
    bench.cable.pull()
    file = bench.workshop.thermal.read(str(tmp_path / "warm.csv"))
    places = [read_area(area_of(name), "stage") for name in ("Q1", "Q4")]
    here = bench.workshop.thermal.take(tag, shop.technician, file, Conditions(ambient=26.0, load_fraction=1.0), places)
    body = here.entries[-1].body
    assert isinstance(body, ThermalTaken)
    bench.restart()
    assert bench.back() == 1
    assert shop.workshop.unit(tag).entries[-1].body == body
    assert shop.workshop.thermal.grid(body.picture) == file.grid


# ---- questions ------------------------------------------------------------------------------------------

Act = Callable[[Workshop, SmallShop, str], object]


@pytest.mark.parametrize(
    ("act", "ours", "theirs"),
    [
        (lambda w, s, t, own: w.measuring.runs(t, s.technician, "warm", 9 if own else 7, 0), "9 runs", "runs counted"),
        (
            lambda w, s, t, own: w.findings.write(
                t,
                s.technician,
                {"root_cause": "fan" if own else "dust", "currency": "EUR", "advice": "repair"},
            ),
            "fan",
            "dust",
        ),
        (lambda w, s, t, own: w.parts.add(t, "C1", "film" if own else "relay", s.technician), "film", "relay"),
    ],
    ids=["runs", "findings", "parts"],
)
def test_two_hands_on_the_same_thing_are_shown_to_each_other(
    bench: Bench, tag: str, act: Callable[..., object], ours: str, theirs: str
) -> None:
    shop = bench.shop
    bench.cable.pull()
    act(bench.workshop, shop, tag, True)
    act(shop.workshop, shop, tag, False)
    before = shop.workshop.unit(tag).entries
    assert bench.back() == 0
    (question,) = bench.workshop.keeping.questions()
    assert ours in question.kept.deed.says()
    assert theirs in question.why[0]
    assert shop.workshop.unit(tag).entries == before
    bench.workshop.keeping.put_on_top(question.kept.id, shop.technician)
    last = [one for one in shop.workshop.unit(tag).entries if one.id == question.kept.id]
    assert last[0].because.startswith("put on top")
    assert bench.workshop.keeping.questions() == []


def test_one_row_of_siblings_measured_by_two_is_asked_about_another_row_is_not(shipped: Bench) -> None:
    bench, shop, tag = shipped, shipped.shop, seen(shipped)
    bench.cable.pull()
    for row in ("diode", "gate"):
        bench.workshop.measuring.siblings(tag, shop.technician, "Stage", row, ".4 .4 .4", devices=SIX[:3], unit="V")
    shop.workshop.measuring.siblings(tag, shop.lead, "stage", "Diode", ".5 .5 .5", devices=SIX[:3], unit="V")
    assert bench.back() == 1
    (question,) = bench.workshop.keeping.questions()
    assert question.kept.deed.says() == "Stage, diode: .4 .4 .4 V"
    assert "0.5" in question.why[0] or "500 mV" in question.why[0]


def test_two_hands_on_different_things_do_not_ask(bench: Bench, tag: str, photo: str) -> None:
    shop = bench.shop
    bench.cable.pull()
    bench.workshop.measuring.runs(tag, shop.technician, "warm start", 9, 0)
    bench.workshop.parts.add(tag, "C1", "film", shop.technician)
    bench.workshop.photos.take(tag, shop.technician, photo)
    shop.workshop.measuring.runs(tag, shop.lead, "cold start", 7, 0)
    shop.workshop.parts.add(tag, "C2", "film", shop.lead)
    shop.workshop.photos.take(tag, shop.lead, photo)
    shop.workshop.plan_work(tag, shop.lead, ["Q9"], "transistor", "failed")
    assert bench.back() == 3
    assert bench.workshop.keeping.questions() == []


def test_joints_of_one_class_are_counted_by_two_and_asked_about(bench: Bench) -> None:
    shop, tag = bench.shop, bench.shop.booked()
    for check, text in (("goods_in.seen", "y"), ("diagnosis.link", "4"), ("component_work.cleaned", "y")):
        shop.answer(tag, check, text)
        shop.workshop.move_on(tag, shop.who(check))
    bench.workshop.unit(tag)
    bench.cable.pull()
    bench.workshop.inspection.see(tag, shop.inspector, "through-hole", "by eye", "120", "C12 bridge")
    bench.workshop.inspection.see(tag, shop.inspector, "gull wing", "by eye", "300")
    shop.workshop.inspection.see(tag, shop.inspector, "through-hole", "by eye", "118")
    assert bench.back() == 1
    assert "118" in bench.why()[0]
    assert JointClass("gull wing") in shop.workshop.unit(tag).unit.joints


def test_runs_from_before_a_repair_or_a_failure_never_count_as_made_after_it(bench: Bench, tag: str) -> None:
    """Clean runs prove a repair only when they are made after it, and count anew after a failure."""
    shop = bench.shop
    shop.workshop.plan_work(tag, shop.technician, ["Q3"], "transistor", "failed")
    bench.workshop.unit(tag)
    bench.cable.pull()
    ended = NOW + timedelta(minutes=5)
    bench.workshop.measuring.runs(tag, shop.technician, "warm start", 300, 0, first=NOW, last=ended)
    shop.workshop.fit(tag, "Q3", shop.technician, "transistor")
    assert bench.back() == 0
    assert "Q3 fitted" in bench.why()[-1]
    with pytest.raises(Refused, match="measure again"):
        bench.workshop.keeping.put_on_top(bench.which(), shop.technician)
    bench.workshop.keeping.drop(bench.which(), shop.technician, "made before the repair")

    bench.workshop.unit(tag)
    bench.cable.pull()
    bench.workshop.measuring.runs(tag, shop.technician, "warm start", 300, 0, first=NOW, last=ended)
    failed = NOW + timedelta(minutes=2)
    shop.workshop.measuring.runs(tag, shop.lead, "warm start", 1, 1, first=failed, last=failed)
    assert bench.back() == 0
    with pytest.raises(Refused, match="a run of warm start failed meanwhile"):
        bench.workshop.keeping.put_on_top(bench.which(), shop.technician)
    assert counted(shop.workshop, tag) == (1, 1, 0)


def test_runs_that_were_all_made_after_the_failure_may_be_put_on_top(bench: Bench, tag: str) -> None:
    shop = bench.shop
    bench.cable.pull()
    failed, began, ended = (NOW + timedelta(minutes=minutes) for minutes in (2, 8, 9))
    bench.workshop.measuring.runs(tag, shop.technician, "warm start", 30, 0, first=began, last=ended)
    shop.workshop.measuring.runs(tag, shop.lead, "warm start", 1, 1, first=failed, last=failed)
    assert bench.back() == 0
    bench.workshop.keeping.put_on_top(bench.which(), shop.technician)
    assert counted(shop.workshop, tag) == (31, 1, 30)


# ---- the shop -------------------------------------------------------------------------------------------


def test_a_word_to_the_next_shift_is_in_its_brief_here_and_after_a_restart_everywhere(bench: Bench) -> None:
    shop = bench.shop
    bench.workshop.briefing.brief(shop.technician)
    bench.cable.pull()
    bench.workshop.notices.note(shop.technician, "", next_step="oven 2 is at 125 °C until nine")
    assert any("oven 2" in line.says for line in bench.workshop.briefing.brief(shop.technician).lines)
    assert shop.workshop.shop().notices.notes == {}
    (waits,) = bench.workshop.keeping.waiting()
    bench.restart()
    assert [one.body.next for one in bench.workshop.shop().notices.notes.values()] == ["oven 2 is at 125 °C until nine"]
    assert bench.back() == 1
    (note,) = shop.workshop.shop().notices.notes.values()
    assert (note.id, note.by) == (waits.id, shop.technician)
    assert bench.back() == 0
    assert len(shop.workshop.shop().notices.notes) == 1
    assert shop.workshop.verify() == []


def test_a_question_that_somebody_else_has_answered_comes_back(bench: Bench) -> None:
    shop = bench.shop
    asked = next(iter(shop.workshop.notices.ask(shop.lead, "who has the key?").notices.questions))
    bench.workshop.shop()
    bench.cable.pull()
    bench.workshop.notices.reply(shop.technician, asked, "it hangs at the door")
    shop.workshop.notices.reply(shop.inspector, asked, "I have it")
    assert bench.back() == 0
    assert "somebody has answered it" in bench.why()[0]
    bench.workshop.keeping.drop(bench.which(), shop.technician, "she has it")
    assert bench.workshop.keeping.questions() == []


def test_an_item_is_not_accepted_while_away_and_a_note_goes_before_it_afterwards(bench: Bench) -> None:
    shop = bench.shop
    bench.cable.pull()
    with pytest.raises(Away, match="Accepting an item needs the database, and nothing was entered"):
        bench.workshop.handovers.accept(shop.technician, [1])
    bench.workshop.notices.note(shop.technician, "the lift is out of use")
    bench.cable.put_in()
    bench.workshop.notices.note(shop.technician, "it is back")
    says = [one.body.text for one in shop.workshop.shop().notices.notes.values()]
    assert says == ["the lift is out of use", "it is back"]


# ---- older files ----------------------------------------------------------------------------------------


def test_a_line_that_an_older_program_wrote_still_asks_about_what_others_did(bench: Bench, tag: str) -> None:
    """Its lines said nothing of what the deed minds, and named no pictures."""
    shop = bench.shop
    bench.cable.pull()
    for text in ("0.62 V", "mine"):
        bench.workshop.note(tag, shop.technician, text)
    bench.workshop.plan_work(tag, shop.technician, ["Q4"], "transistor", "failed")
    file = bench.folder / "kept.jsonl"
    lines = bench.kept_lines()
    for line in lines:
        kept = line["kept"]
        assert isinstance(kept, dict)
        del kept["minds"], kept["enclosed"]
    file.write_text("".join(json.dumps(line) + "\n" for line in lines))
    bench.restart()
    shop.workshop.note(tag, shop.lead, "from elsewhere")
    shop.workshop.plan_work(tag, shop.lead, ["Q4"], "transistor", "aged")
    assert bench.back() == 2
    assert len(bench.workshop.keeping.questions()) == 1
    texts = [one.body.text for one in shop.workshop.unit(tag).entries if isinstance(one.body, Noted)]
    assert texts == ["from elsewhere", "0.62 V", "mine"]
