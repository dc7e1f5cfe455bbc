"""What goes stale, on the shipped sheets. The dependency is stated a second time, from the TOML as it is written."""

from __future__ import annotations

import tomllib
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st
from uuid6 import uuid7

from tests.record.shop_floor import ANNA, IDA, MORNING, NAMEPLATE, TAG
from traveller.judgement import Finding, Verdict
from traveller.quantities import Quantity
from traveller.record.answers import Answer, Chosen, Read, Ticked, Written
from traveller.record.entries import Answered, Body, BookedIn, Entry, Moved, Noted, SentBack
from traveller.record.photo_entries import PhotoTaken
from traveller.record.redoing import names, to_redo, voided_by, voided_by_sending_back
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.view import UnitView, view
from traveller.record.work_entries import WorkFitted, WorkPlanned, WorkRejected, WorkVerified
from traveller.shipped import shipped_folder
from traveller.stationbook import load_stations

STATIONS = load_stations()
CHECKS = {check.full_key: check for check in STATIONS.book.checks()}
SHEETS: dict[str, dict[str, Any]] = {
    path.parent.name: tomllib.loads(path.read_text(encoding="utf-8"))
    for path in shipped_folder("stations").glob("*/station.toml")
}
WRITTEN = {f"{station}.{one['key']}": (station, one) for station, sheet in SHEETS.items() for one in sheet["check"]}
LONGEST = 37
"""Two checks by name are one line of a screen that is 80 wide."""
WORKED_BACK_FROM = ("component_work", "inspection", "load_test", "dispatch")


def answered(key: str, sequence: int) -> Answered:
    """A passing answer of some kind, with an instrument in calibration if the check wants one."""
    check = CHECKS[key]
    given: dict[str, Answer] = {
        "tick": Ticked(yes=True),
        "choice": Chosen(option=(check.passes or check.options or ("",))[0]),
        "reading": Read(reading=Quantity(value=1.0, unit=check.unit)),
    }
    meter = InstrumentUsed(tag="I-1", name="meter", instrument_class=check.instrument, calibration_due=date(2090, 1, 1))
    return Answered(
        check=key,
        station=check.station,
        edition="1-x",
        asks=check.digest,
        answer=given.get(check.kind, Written(text=f"line {sequence}")),
        finding=Finding(verdict=Verdict.PASS, says="pass"),
        instruments=(meter,) if check.instrument else (),
    )


def recorded(bodies: list[Body]) -> list[Entry]:
    return [
        Entry(
            id=uuid7(),
            subject=TAG,
            sequence=n,
            at=MORNING + timedelta(minutes=n),
            by=IDA if isinstance(body, Answered) and body.station != "component_work" else ANNA,
            terminal="T-1",
            body=body,
        )
        for n, body in enumerate([BookedIn(nameplate=NAMEPLATE, station="goods_in", editions={}), *bodies], 1)
    ]


def seen(bodies: list[Body]) -> UnitView:
    return view(TAG, recorded(bodies), STATIONS.book, STATIONS.judges)


keys = st.sampled_from(sorted(CHECKS))
events = st.one_of(
    st.builds(WorkFitted, reference=st.just("U7"), fitted=st.just("driver")),
    st.builds(WorkRejected, reference=st.just("U7"), why=st.just("cold joint")),
    st.builds(SentBack, station=st.sampled_from(sorted(SHEETS)), found=st.just("a joint")),
    st.builds(PhotoTaken, of=st.sampled_from(["", "U7"]), pictures=st.just(("0" * 64,))),
    st.builds(WorkPlanned, reference=st.just("U7"), part=st.just("driver"), reason=st.just("failed")),
    st.builds(WorkVerified, reference=st.just("U7")),
    st.builds(Moved, station=st.sampled_from(sorted(SHEETS))),
    st.builds(Noted, text=st.just("a note")),
)


@st.composite
def histories(draw: st.DrawFn) -> list[Body]:
    """Answers to many checks in route order, then anything in any order."""
    first = [answered(key, n) for n, key in enumerate(CHECKS) if draw(st.integers(0, 3))]
    later = draw(st.lists(st.one_of(events, keys.map(lambda key: answered(key, 0))), min_size=1, max_size=6))
    return [*first, *later]


def declared(key: str) -> list[str]:
    """What the sheet says makes an answer stale: the check's own words, else the station's, and its origins."""
    station, written = WRITTEN[key]
    words = written.get("stale_after") or SHEETS[station]["station"].get("stale_after", [])
    filled = [one.removeprefix("answer.") for one in written.get("fill", {}).values() if one.startswith("answer.")]
    return [*words, *(f"check:{one}" for one in filled)]


def happened(body: Body) -> set[str]:
    match body:
        case WorkFitted() | WorkRejected():
            return {"work"}
        case SentBack(station=station):
            return {"sent_back", f"sent_back_to:{station}"}
        case Answered(check=check, station=station):
            return {f"check:{check}", f"station:{station}"}
    return set()


def overtaken(key: str, since: int, entries: list[Entry], asked: set[str]) -> bool:
    words = declared(key)
    if any(happened(one.body) & set(words) for one in entries if one.sequence > since):
        return True
    for below in (word.removeprefix("check:") for word in words if word.startswith("check:")):
        answers = [one.sequence for one in entries if isinstance(one.body, Answered) and one.body.check == below]
        if below in asked and answers and overtaken(below, max(answers), entries, asked):
            return True
    return False


@settings(max_examples=120, deadline=None)
@given(histories())
def test_after_any_entry_nothing_that_depends_on_it_counts_and_all_else_does(bodies: list[Body]) -> None:
    unit = seen(bodies)
    entries = list(unit.entries)
    asked = {one.check.full_key for one in unit.standings()}
    stale = {one.check.full_key for one in unit.standings() if one.state.value == "stale"}
    for key in asked:
        answers = [one.sequence for one in entries if isinstance(one.body, Answered) and one.body.check == key]
        if answers:
            assert overtaken(key, max(answers), entries, asked) == (key in stale), key
    event("something stale" if stale else "nothing stale")
    assert [one.check.full_key for one in to_redo(unit)] == [key for key in CHECKS if key in stale], "in route order"


@settings(max_examples=60, deadline=None)
@given(histories(), st.sampled_from(WORKED_BACK_FROM[:3]))
def test_what_is_foretold_is_what_happens(bodies: list[Body], station: str) -> None:
    """Sending back and fitting really done, and compared with what was said before."""
    before = seen(bodies)
    counts = {one.check.full_key for one in before.standings() if one.state.counts}
    at_once, with_work = voided_by_sending_back(before, station)
    back = SentBack(station=station, found="a joint")
    fitted = WorkFitted(reference="U7", fitted="driver")
    gone = {one.check.full_key for one in to_redo(seen([*bodies, back]))} & counts
    gone_later = {one.check.full_key for one in to_redo(seen([*bodies, back, fitted]))} & counts
    assert {one.check.full_key for one in at_once} == gone
    assert {one.check.full_key for one in (*at_once, *with_work)} == gone_later


def test_why_and_since_when_is_said() -> None:
    unit = seen([*(answered(key, n) for n, key in enumerate(CHECKS)), WorkFitted(reference="U7", fitted="driver")])
    standing = next(one for one in to_redo(unit) if one.check.full_key == "inspection.joints")
    assert standing.because == "U7 fitted after this"
    assert standing.since == unit.entries[-1].at
    assert "load_test" in {one.check.station for one in to_redo(unit)}


@pytest.mark.parametrize("harmless", ["a photo", "a note"])
def test_a_photo_or_a_note_voids_nothing(harmless: str) -> None:
    every: list[Body] = [answered(key, n) for n, key in enumerate(CHECKS)]
    body: Body = PhotoTaken(pictures=("0" * 64,)) if harmless == "a photo" else Noted(text="seen")
    assert to_redo(seen([*every, body])) == to_redo(seen(every))


def test_names_are_short_and_count_the_rest() -> None:
    unit = seen([answered(key, n) for n, key in enumerate(CHECKS)])
    voided = voided_by(unit, "work")
    told = names(unit, voided, 2)
    assert told.endswith(f" and {len(voided) - 2} more") and told.startswith("Diagnosis: ")


def test_every_check_has_a_short_name_of_its_own_words() -> None:
    for check in CHECKS.values():
        assert 3 <= len(check.short) <= LONGEST, check.short
        assert check.ask.startswith(check.short.removesuffix("…")), check.short
        assert "_" not in check.short, check.short


def test_a_check_that_no_sheet_asks_any_more_is_named_by_its_key_as_words() -> None:
    assert STATIONS.book.asked("diagnosis.rail_5v") == "The 5 V rail, at the card that it…"
    assert STATIONS.book.asked("diagnosis.long_gone") == "long gone"
