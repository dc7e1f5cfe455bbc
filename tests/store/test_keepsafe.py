"""What is done while the database is away comes onto the record once, in order, or back to the person.

The rules are those of docs/record.md and docs/decisions/0009; `common practice` for everything else.
"""

from __future__ import annotations

import json
import stat
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.small_shop import PIN, SmallShop, opened
from tests.standing_of import standing_of
from tests.store.bench import LINK, SEEN, Bench
from traveller.commands.root import root
from traveller.errors import Away, NotReachable, Refused
from traveller.record.entries import Answered, Noted
from traveller.record.view import UnitView
from traveller.store.keepsafe import Keepsafe
from traveller.store.workshop import Workshop
from traveller.vocabulary import HazardKind


def texts(view: UnitView) -> list[str]:
    return [one.body.text for one in view.entries if isinstance(one.body, Noted)]


def link(workshop: Workshop, shop: SmallShop, tag: str, volts: str) -> UnitView:
    seen = workshop.unit(tag).unit.current(LINK)
    return workshop.answer(tag, LINK, volts, shop.technician, [shop.voltmeter], seen=seen.entry if seen else None)


# ---- kept and shared ------------------------------------------------------------------------------------


def test_what_is_done_while_away_is_judged_shown_and_shared_once_with_its_time(bench: Bench, tag: str) -> None:
    shop, work = bench.shop, bench.workshop
    before = len(work.unit(tag).entries)
    bench.cable.pull()
    kept = link(work, shop, tag, "0.62")
    assert [one.id for one in kept.entries if one.id in kept.kept] == [kept.entries[-1].id]
    body = kept.entries[-1].body
    assert isinstance(body, Answered)
    assert body.finding.verdict.value == "pass"
    assert HazardKind.STORED_CHARGE not in work.unit(tag).unit.hazards
    done_at, bench.now = bench.now, bench.now + timedelta(minutes=17)
    work.note(tag, shop.technician, "next: the fan")
    assert len(work.keeping.waiting()) == 2
    assert len(shop.workshop.unit(tag).entries) == before, "nothing of it is on the record"

    assert bench.back() == 2
    now = shop.workshop.unit(tag)
    answer, note = now.entries[-2:]
    assert answer.id == kept.entries[-1].id
    assert (answer.at, answer.shared, answer.by) == (done_at, bench.now, shop.technician)
    assert (texts(now), note.at) == (["next: the fan"], bench.now)
    assert work.keeping.waiting() == []
    assert bench.back() == 0
    assert len(shop.workshop.unit(tag).entries) == before + 2
    assert shop.workshop.verify() == []
    assert not shop.workshop.cards_astray()


def test_the_file_is_private_and_holds_one_line_for_each_deed(bench: Bench, tag: str) -> None:
    bench.cable.pull()
    bench.workshop.note(tag, bench.shop.technician, "one")
    bench.workshop.hold(tag, bench.shop.technician, "a fan", datetime(2031, 3, 9, tzinfo=UTC).date())
    assert [line["line"] for line in bench.kept_lines()] == ["kept", "kept"]
    assert stat.S_IMODE((bench.folder / "kept.jsonl").stat().st_mode) == 0o600
    bench.back()
    assert (bench.folder / "kept.jsonl").read_bytes() == b""


def test_a_restart_in_between_loses_nothing(bench: Bench, tag: str) -> None:
    bench.cable.pull()
    bench.workshop.note(tag, bench.shop.technician, "before the power cut")
    bench.restart()
    assert [one.deed.says() for one in bench.workshop.keeping.waiting()] == ["note: before the power cut"]
    assert texts(bench.workshop.unit(tag)) == ["before the power cut"]
    assert bench.back() == 1
    assert texts(bench.shop.workshop.unit(tag)) == ["before the power cut"]


@pytest.mark.parametrize("cut", [1, 20, -1])
def test_a_line_that_a_power_cut_damaged_is_set_aside_and_said(bench: Bench, tag: str, cut: int) -> None:
    bench.cable.pull()
    for text in ("whole", "torn"):
        bench.workshop.note(tag, bench.shop.technician, text)
    file = bench.folder / "kept.jsonl"
    first, second = file.read_bytes().splitlines(keepends=True)
    torn = second[:cut].rstrip(b"\n")[: len(second) - 2]
    file.write_bytes(first + torn)
    bench.restart()
    bench.cable.pull()
    bench.workshop.desk.lately.saw(tag, bench.shop.workshop.unit(tag))
    assert len(bench.workshop.keeping.waiting()) == 1
    assert bench.workshop.keeping.damaged == 1
    assert (bench.folder / "damaged.jsonl").read_bytes() == torn + b"\n"
    bench.workshop.note(tag, bench.shop.technician, "after it")
    assert bench.back() == 2
    assert texts(bench.shop.workshop.unit(tag)) == ["whole", "after it"]


def test_a_disk_that_takes_no_line_is_told_and_nobody_believes_it_kept(
    bench: Bench, tag: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_any: object) -> None:
        raise OSError(28, "No space left on device")

    bench.cable.pull()
    monkeypatch.setattr("traveller.store.on_disk.os.fsync", full)
    with pytest.raises(NotReachable, match="write it on paper"):
        bench.workshop.note(tag, bench.shop.technician, "lost?")


def test_what_breaks_a_rule_is_refused_at_once_and_not_kept(bench: Bench, tag: str) -> None:
    bench.cable.pull()
    with pytest.raises(Refused, match="not on the work list"):
        bench.workshop.fit(tag, "Q3", bench.shop.technician, "transistor")
    with pytest.raises(Away, match="The release needs the database"):
        bench.workshop.release(tag, bench.shop.clerk, PIN, "done")
    with pytest.raises(Away, match="This needs the database"):
        bench.workshop.move_on(tag, bench.shop.technician)
    assert bench.workshop.keeping.waiting() == []


def test_the_queue_and_the_unit_stay_readable(bench: Bench, tag: str) -> None:
    floor, queue = bench.workshop.floor(), bench.workshop.queue("diagnosis")
    bench.cable.pull()
    assert (bench.workshop.floor(), bench.workshop.queue("diagnosis")) == (floor, queue)
    assert bench.workshop.unit(tag).unit.station == "diagnosis"
    assert bench.workshop.thing(tag).tag == tag
    assert bench.workshop.sign_on(bench.shop.inspector).tag == bench.shop.inspector
    assert bench.workshop.keeping.is_away
    with pytest.raises(Away):
        bench.workshop.queue("inspection")


def test_kept_deeds_of_one_shop_never_reach_another(bench: Bench, tag: str, tmp_path: Path) -> None:
    bench.cable.pull()
    bench.workshop.note(tag, bench.shop.technician, "for the first shop")
    (tmp_path / "second").mkdir()
    second = opened(f"sqlite:///{tmp_path / 'second.sqlite'}", tmp_path / "second")
    there = Workshop.open(second.url, overlay=second.sheets, folder=bench.folder)
    there.shop()
    assert (there.keeping.waiting(), there.keeping.deliver()) == ([], 0)
    there.close()
    second.workshop.close()
    assert bench.back() == 1


def test_a_clock_that_was_wrong_gives_the_time_of_sharing(bench: Bench, tag: str) -> None:
    bench.cable.pull()
    right = bench.now
    for wrong in (datetime(1970, 1, 1, tzinfo=UTC), right + timedelta(days=900)):
        bench.now = wrong
        bench.workshop.note(tag, bench.shop.technician, "what time is it?")
    bench.now = datetime(2031, 3, 4, tzinfo=UTC)
    assert bench.back() == 2
    assert [one.at for one in bench.shop.workshop.unit(tag).entries[-2:]] == [bench.now] * 2


# ---- questions ------------------------------------------------------------------------------------------


def test_an_answer_given_meanwhile_comes_back_with_both_versions(bench: Bench, tag: str) -> None:
    shop = bench.shop
    bench.cable.pull()
    link(bench.workshop, shop, tag, "0.62")
    link(shop.workshop, shop, tag, "0.58")
    assert bench.back() == 0
    (question,) = bench.workshop.keeping.questions()
    assert question.kept.deed.says() == "Volts of the link: 0.62 V"
    name = shop.workshop.shop().called(shop.technician)
    assert "0.58 V" in question.why[0]
    assert f"by {name} at 06:00" in question.why[0]
    bench.restart()
    assert bench.which() == question.kept.id

    bench.workshop.keeping.put_on_top(question.kept.id, shop.technician)
    answers = [one for one in shop.workshop.unit(tag).entries if isinstance(one.body, Answered)][-2:]
    assert [one.body.finding.says for one in answers if isinstance(one.body, Answered)] != []
    assert answers[1].id == question.kept.id
    assert answers[1].because.startswith("put on top")
    assert bench.workshop.keeping.questions() == []


def test_dropping_takes_a_reason_and_the_deed_stays_in_a_file(bench: Bench, tag: str) -> None:
    shop = bench.shop
    bench.cable.pull()
    link(bench.workshop, shop, tag, "0.62")
    link(shop.workshop, shop, tag, "0.58")
    bench.back()
    with pytest.raises(Refused, match="why it is dropped"):
        bench.workshop.keeping.drop(bench.which(), shop.technician, " ")
    with pytest.raises(Refused, match="shift lead decides"):
        bench.workshop.keeping.drop(bench.which(), shop.inspector, "not mine")
    bench.workshop.keeping.drop(bench.which(), shop.lead, "his is the better meter")
    (line,) = (bench.folder / "dropped.jsonl").read_text().splitlines()
    dropped = json.loads(line)
    assert dropped["dropped"]["because"] == "his is the better meter"
    assert dropped["kept"]["deed"]["given"]["reading"]["value"] == 0.62
    assert "0.58 V" in dropped["why"][0]
    assert bench.workshop.keeping.questions() == []


def test_a_reading_overtaken_by_work_is_never_put_on_top(bench: Bench) -> None:
    """A reading taken before a part was changed says nothing about the unit as it is now."""
    shop = bench.shop
    tag = shop.ready()
    bench.workshop.unit(tag)
    bench.cable.pull()
    bench.workshop.answer(tag, "load_test.warm", "y", shop.tester)
    shop.workshop.fit(tag, "Q3", shop.technician, "another transistor")
    assert bench.back() == 0
    assert any("Q3 fitted" in line and "measure again" in line for line in bench.why())
    with pytest.raises(Refused, match="measure again"):
        bench.workshop.keeping.put_on_top(bench.which(), shop.tester)
    assert not standing_of(shop.workshop.unit(tag), "load_test.warm").state.counts
    for typed in (tag, f" {tag[:4]}-{tag[4:]}".lower()):  # as the label says it, and as a person may type it
        with pytest.raises(Refused, match="somebody has to decide"):
            bench.workshop.release(typed, shop.clerk, PIN, "done")


Act = Callable[[Workshop, SmallShop, str], object]


@pytest.mark.parametrize(
    ("here", "there"),
    [
        (lambda w, s, t: w.clear_hazard(t, HazardKind.STORED_CHARGE, s.technician, "0 V"), "raised anew"),
        (lambda w, s, t: w.fit(t, "Q3", s.technician, "mine"), "fitted"),
        (lambda w, s, t: w.strike_work(t, "Q3", s.lead, "good"), "fitted"),
        (lambda w, s, t: w.place(t, "S", s.technician), "moved"),
        (lambda w, s, t: w.plan_work(t, s.technician, ["Q4"], "part", "failed"), "moved"),
        (lambda w, s, t: w.note(t, s.technician, "late"), "released"),
    ],
    ids=["hazard", "same line", "strike", "place", "plan", "note"],
)
def test_what_others_did_to_the_same_thing_is_asked_about(bench: Bench, tag: str, here: Act, there: str) -> None:
    shop = bench.shop
    shelf = shop.workshop.registry.register_shelf("shelf A", shop.lead)
    shop.workshop.plan_work(tag, shop.technician, ["Q3"], "transistor", "failed")
    bench.workshop.shop()
    bench.workshop.unit(tag)
    if there == "released":
        tag = shop.ready()
        bench.workshop.unit(tag)
    bench.cable.pull()
    if here.__code__.co_consts and "S" in here.__code__.co_consts:
        bench.workshop.place(tag, shelf, shop.technician)
    else:
        here(bench.workshop, shop, tag)
    match there:
        case "raised anew":
            shop.workshop.clear_hazard(tag, HazardKind.STORED_CHARGE, shop.technician, "0.4 V")
            shop.workshop.raise_hazard(tag, HazardKind.STORED_CHARGE, shop.technician, "switched on again")
        case "fitted":
            shop.workshop.fit(tag, "Q3", shop.technician, "theirs")
        case "moved":
            link(shop.workshop, shop, tag, "0.5")
            shop.workshop.move_on(tag, shop.technician)
        case "released":
            shop.workshop.release(tag, shop.clerk, PIN, "done")
    before = shop.workshop.unit(tag).entries
    assert bench.back() == 0
    assert len(bench.workshop.keeping.questions()) == 1
    assert shop.workshop.unit(tag).entries == before
    if there == "raised anew":
        assert HazardKind.STORED_CHARGE in shop.workshop.unit(tag).unit.hazards


def test_a_note_and_a_hazard_reach_a_unit_that_has_moved_on(bench: Bench, tag: str) -> None:
    shop = bench.shop
    link(shop.workshop, shop, tag, "0.5")
    bench.workshop.unit(tag)
    bench.cable.pull()
    bench.workshop.note(tag, shop.technician, "the fan rattles")
    bench.workshop.raise_hazard(tag, HazardKind.HOT, shop.technician, "heat sink")
    shop.workshop.move_on(tag, shop.technician)
    assert bench.back() == 2
    assert HazardKind.HOT in shop.workshop.unit(tag).unit.hazards


# ---- by command -----------------------------------------------------------------------------------------


def test_the_commands_list_share_put_and_drop(bench: Bench, tag: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAVELLER_HOME", str(bench.folder))
    monkeypatch.setenv("TRAVELLER_STATIONS", str(bench.shop.sheets))
    shop = bench.shop

    def call(*words: str, status: int = 0, database: str = shop.url) -> str:
        done = CliRunner().invoke(root, ["--database", database, "--as", shop.technician, *words])
        assert done.exit_code == status, done.output
        return done.output

    bench.cable.pull()
    bench.workshop.note(tag, shop.technician, "kept by hand")
    for volts in ("0.62", "0.64"):
        link(bench.workshop, shop, tag, volts)
    nowhere = "postgresql://nobody@127.0.0.1:1/none"
    assert "kept here, not yet shared: 3; to decide: 0" in call("kept", "list", database=nowhere)
    call("kept", "deliver", status=3, database=nowhere)
    link(shop.workshop, shop, tag, "0.58")
    assert call("kept", "deliver") == "1 shared, 2 to decide\n"
    listed = json.loads(call("kept", "list", "--json"))
    first, second = (one["id"] for one in listed["to_decide"])
    assert "0.58 V" in listed["to_decide"][0]["on_the_record"][0]
    call("kept", "put", first)
    assert "dropped" in call("kept", "drop", second, "--because", "one is enough")
    assert "to decide: 0" in call("kept", "list")
    assert call("kept", "put", second, status=1).startswith("Nothing is asked")
    assert texts(shop.workshop.unit(tag)) == ["kept by hand"]


# ---- any sequence of events -----------------------------------------------------------------------------

EVENTS = st.lists(
    st.sampled_from(["note", "answer", "hazard", "away", "back", "restart", "other answers", "other notes", "tick"]),
    min_size=1,
    max_size=25,
)


@pytest.fixture(scope="module")
def busy_shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[SmallShop]:
    folder = tmp_path_factory.mktemp("busy")
    shop = opened(f"sqlite:///{folder / 'busy.sqlite'}", folder)
    yield shop
    shop.workshop.close()


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(events=EVENTS)
def test_every_deed_is_once_on_the_record_or_among_the_questions_and_in_order(
    busy_shop: SmallShop, tmp_path_factory: pytest.TempPathFactory, events: list[str]
) -> None:
    bench = Bench(busy_shop, tmp_path_factory.mktemp("bench"))
    shop, tag = busy_shop, busy_shop.booked()
    bench.workshop.unit(tag)
    done: list[UUID] = []
    for number, what in enumerate(events):
        try:
            match what:
                case "note":
                    after = bench.workshop.note(tag, shop.technician, f"note {number}")
                    done.append(after.entries[-1].id)
                case "answer":
                    current = bench.workshop.unit(tag).unit.current(SEEN)
                    seen = current.entry if current else None
                    after = bench.workshop.answer(tag, SEEN, "y" if number % 2 else "n", shop.technician, seen=seen)
                    done.append(after.entries[-1].id)
                case "hazard":
                    act = bench.workshop.unit(tag)
                    if HazardKind.HOT in act.unit.hazards:
                        after = bench.workshop.clear_hazard(tag, HazardKind.HOT, shop.technician, "cold")
                    else:
                        after = bench.workshop.raise_hazard(tag, HazardKind.HOT, shop.technician, "hot")
                    done.append(after.entries[-1].id)
                case "away":
                    bench.cable.pull()
                case "back":
                    bench.back()
                case "restart":
                    was_out = bench.cable.out
                    bench.restart()
                    bench.workshop.unit(tag)
                    bench.cable.out = was_out
                case "other answers":
                    shop.workshop.answer(tag, SEEN, "y", shop.technician)
                case "other notes":
                    shop.workshop.note(tag, shop.lead, "from elsewhere")
                case "tick":
                    bench.now += timedelta(minutes=1)
        except Refused:
            pass
    bench.back()
    assert bench.workshop.keeping.waiting() == []
    on_record = [one.id for one in shop.workshop.unit(tag).entries]
    asked = [one.kept.id for one in bench.workshop.keeping.questions()]
    assert len(set(done)) == len(done)
    assert set(done) == {one for one in done if (one in on_record) != (one in asked)}, "once, in one of both places"
    assert [one for one in on_record if one in done] == [one for one in done if one in on_record], "in order"
    assert [one for one in done if one in asked] == asked
    assert shop.workshop.verify(tag) == []
    bench.workshop.close()


def test_a_pile_is_the_same_read_anew(bench: Bench, tag: str) -> None:
    bench.cable.pull()
    for text in ("one", "two"):
        bench.workshop.note(tag, bench.shop.technician, text)
    assert list(Keepsafe(bench.folder).pile().waiting.values()) == bench.workshop.keeping.waiting()
