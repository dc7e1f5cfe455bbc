"""Runs counted over and over: before and after the repair, and how many clean ones are still needed."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binomtest

from tests.record.any_entries import measured_travellers
from tests.record.at_diagnosis import STATIONS, Bench
from tests.record.shop_floor import ANNA, BEN, PEOPLE, Traveller
from traveller.errors import InputError, Refused
from traveller.record.acts.runs import count_runs, runs_into_findings, take_back_run
from traveller.record.answers import Calculated
from traveller.record.entries import Answered, Noted
from traveller.record.runs import Outlook, Tally, before_and_after, clean_at_the_end, outlook, read_runs
from traveller.record.siblings import last_work
from traveller.record.work_entries import WorkFitted, WorkRejected
from traveller.vocabulary import UnitKind

TEST = "warm start"


class Counted(Bench):
    def __init__(self) -> None:
        super().__init__(UnitKind.CIRCUIT_BOARD)

    def count(self, made: int, failures: int = 0, clean_since: int | None = None, by: str = ANNA) -> None:
        for one in count_runs(self.view, PEOPLE[by], TEST, made, failures, clean_since):
            self.enter(one.body, by)

    def press(self, marks: str) -> None:
        """As the screen counts: a failure closes a batch, so does the twentieth run."""
        batch = ""
        for mark in marks:
            batch += mark
            if mark == "x" or len(batch) == 20:
                self.count(len(batch), batch.count("x"), clean_at_the_end([one == "x" for one in batch]))
                batch = ""
        if batch:
            self.count(len(batch), 0)

    def take_back(self, failed: bool, by: str = ANNA) -> None:
        self.enter(take_back_run(self.view, PEOPLE[by], TEST, failed)[0].body, by)

    @property
    def seen(self) -> Outlook:
        unit = self.view.unit
        return outlook(unit.runs[TEST], last_work(unit.disturbances), STATIONS.judges)


def lower(failures: int, runs: int) -> float:
    """scipy.stats.binomtest: the exact lower bound, one-sided, 95 %."""
    return float(binomtest(failures, runs, alternative="greater").proportion_ci(0.95, method="exact").low)


def clean_runs(rate: float) -> int:
    """The success-run rule, n = ln(1 - C) / ln(1 - p) rounded up (qualitydigest.com/print/27832)."""
    return math.ceil(math.log(0.05) / math.log(1 - rate))


def rounded_down(rate: float) -> float:
    step = 10.0 ** (math.floor(math.log10(rate)) - 2)
    return math.floor(rate / step + 1e-9) * step


@pytest.mark.parametrize(("failures", "runs"), [(2, 400), (3, 20), (1, 30), (3, 15), (12, 30), (20, 20), (42, 100)])
def test_the_clean_runs_that_are_needed_after_the_repair(failures: int, runs: int) -> None:
    counted = Counted()
    counted.count(runs, failures)
    before = counted.seen
    assert before.sign == "✗"
    counted.fit("U7")
    after = counted.seen
    assert after.rate == pytest.approx(rounded_down(lower(failures, runs)), rel=1e-9)
    assert after.rate <= lower(failures, runs)
    assert after.still == before.still == clean_runs(after.rate)


def test_the_bound_of_a_published_case() -> None:
    """scipy's own example of binomtest: 3 of 15, one-sided: lower bound 0.05684686759024681."""
    counted = Counted()
    counted.count(15, 3)
    counted.fit("U7")
    assert counted.seen.rate == 0.0568
    assert counted.seen.still == 52  # ln 0.05 / ln (1 - 0.0568) = 51.2
    assert counted.seen.says == (
        "52 more clean runs needed: then with 95 % confidence fewer than 5.68 % of the runs fail, "
        "and it may be called gone"
    )


def test_clean_runs_after_the_repair_come_off_and_the_last_one_calls_it_gone() -> None:
    counted = Counted()
    counted.count(15, 3)
    counted.fit("U7")
    counted.press("." * 51)
    assert counted.seen.says.startswith("1 more clean run needed")
    counted.press(".")
    assert counted.seen.says.startswith("it may be called gone: 52 clean runs since the repair (U7 fitted)")
    assert (counted.seen.sign, counted.seen.bound and counted.seen.bound.verdict) == ("✓", "pass")


def test_a_run_that_fails_after_the_repair_means_that_it_is_not_gone_and_the_count_starts_again() -> None:
    counted = Counted()
    counted.count(15, 3)
    counted.fit("U7")
    counted.press("." * 40 + "x" + "." * 5)
    seen = counted.seen
    assert seen.sign == "✗"
    assert seen.after == Tally(46, 1, 5)
    assert seen.rate == pytest.approx(rounded_down(lower(1, 41)))  # lower than 3 of 15 allowed
    assert f"5 clean, {clean_runs(seen.rate) - 5} more needed" in seen.says
    assert seen.to_answer == Tally(46, 1, 5)
    counted.press("." * seen.still)
    assert counted.seen.sign == "✓"
    assert counted.seen.to_answer.failures == 0
    assert "1 of " in counted.seen.says, "the failing run is still told"


def test_each_work_starts_the_count_again() -> None:
    counted = Counted()
    counted.count(15, 3)
    counted.fit("U7")
    counted.press("." * 30)
    counted.enter(WorkRejected(reference="U7", why="cold joint"), ANNA)
    counted.enter(WorkFitted(reference="U7", fitted="timer"), ANNA)
    assert (counted.seen.before, counted.seen.after) == (Tally(45, 3, 30), Tally())


def test_a_fault_never_seen_is_counted_against_the_stated_rate() -> None:
    counted = Counted()
    counted.count(100)
    assert counted.seen.sign == "?"
    counted.fit("U7")
    assert (counted.seen.rate, counted.seen.still) == (0.01, 299)  # harishsnotebook.com: 95 % sure of 99 %


def test_a_slip_is_taken_back_from_ones_own_latest_count() -> None:
    counted = Counted()
    counted.press("...x")
    counted.press("..")
    counted.take_back(failed=True)
    assert counted.seen.before == Tally(5, 0, 5)
    counted.take_back(failed=False)
    assert counted.seen.before == Tally(4, 0, 4)
    with pytest.raises(Refused, match="no failed run"):
        counted.take_back(failed=True)
    counted.count(1, by=BEN)
    counted.take_back(failed=False)
    assert counted.seen.before == Tally(4, 0, 4), "Anna's run went, Ben's stays"


def test_the_count_goes_into_both_checks() -> None:
    counted = Counted()
    counted.answer_here("diagnosis.fault_seen", "now and then")
    counted.count(400, 2)
    bodies = [one.body for one in runs_into_findings(counted.view, PEOPLE[ANNA], TEST)]
    answers = {one.check: one for one in bodies if isinstance(one, Answered)}
    assert set(answers) == {"diagnosis.clean_runs", "diagnosis.runs_made"}
    assert answers["diagnosis.runs_made"].finding.verdict == "fail"
    made = answers["diagnosis.runs_made"].answer
    assert isinstance(made, Calculated)
    assert (made.inputs["failures"], made.inputs["runs"]) == ("2", "400")
    assert isinstance(bodies[-1], Noted)
    for body in bodies:
        counted.enter(body, ANNA)
    again = [one.body for one in runs_into_findings(counted.view, PEOPLE[ANNA], TEST)]
    assert [one.check for one in again if isinstance(one, Answered)] == ["diagnosis.runs_made"]
    counted.fit("U7")
    with pytest.raises(Refused, match="since the repair"):
        runs_into_findings(counted.view, PEOPLE[ANNA], TEST)
    counted.count(counted.seen.still)
    passed = runs_into_findings(counted.view, PEOPLE[ANNA], TEST)[0].body
    assert isinstance(passed, Answered)
    assert (passed.check, passed.finding.verdict) == ("diagnosis.runs_made", "pass")


@pytest.mark.parametrize(("made", "failures"), [(0, 0), (3, 4), (-1, 0), (5, -1)])
def test_a_count_that_cannot_be_is_refused(made: int, failures: int) -> None:
    with pytest.raises(InputError, match="cannot have failed"):
        Counted().count(made, failures)


def test_there_is_a_most() -> None:
    counted = Counted()
    counted.count(99_999)
    with pytest.raises(InputError, match="100000"):
        counted.count(2)


@pytest.mark.parametrize(
    ("text", "failed"),
    [
        ("ok\nfail\nok\n", [False, True, False]),
        ("1\n0\n1", [False, True, False]),
        ("pass\r\nFAIL\r\n\r\n# warm\nPass,", [False, True, False]),
    ],
)
def test_a_file_of_runs(text: str, failed: list[bool]) -> None:
    assert read_runs(text) == failed


@pytest.mark.parametrize(("text", "words"), [("ok\nmaybe", "Line 2"), ("", "no run"), ("\0", "Line 1")])
def test_a_file_that_holds_no_runs_is_refused(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_runs(text)


# ---- whatever is pressed --------------------------------------------------------------------------------

ACTS = st.lists(st.one_of(st.text(".x", min_size=1, max_size=50), st.just("work")), max_size=8)


@settings(max_examples=80, deadline=None)
@given(ACTS)
def test_the_counts_are_those_of_a_second_count(acts: list[str]) -> None:
    counted, presses, number = Counted(), [""], 0
    for act in acts:
        if act == "work":
            number += 1
            counted.fit(f"U{number}")
            presses.append("")
        else:
            counted.press(act)
            presses[-1] += act
    if not any(presses):
        return
    unit = counted.view.unit
    before, after = before_and_after(unit.runs[TEST], last_work(unit.disturbances))
    earlier = "".join(presses[:-1]) if after is not None else presses[-1]
    assert (before.runs, before.failures) == (len(earlier), earlier.count("x"))
    if after is not None:
        now = presses[-1]
        assert after == Tally(len(now), now.count("x"), len(now) - len(now.rstrip(".")))
    seen = counted.seen
    assert (seen.bound is None) == (seen.now.runs == 0)
    assert (seen.sign == "✓") == (after is not None and not seen.still)


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 200), st.data())
def test_more_failures_before_never_ask_for_more_clean_runs(runs: int, data: st.DataObject) -> None:
    few = data.draw(st.integers(1, runs))
    many = data.draw(st.integers(few, runs))
    needed = []
    for failures in (few, many):
        counted = Counted()
        counted.count(runs, failures)
        counted.fit("U7")
        needed.append(counted.seen.still)
    assert needed[1] <= needed[0]


@settings(max_examples=60, deadline=None)
@given(measured_travellers())
def test_whatever_was_entered_an_outlook_comes_out(traveller: Traveller) -> None:
    unit = traveller.view.unit
    for test in unit.runs.values():
        seen = outlook(test, last_work(unit.disturbances), STATIONS.judges)
        assert seen.says
        assert seen.still >= 0
        assert all(0 <= one.failures <= one.runs and 0 <= one.clean <= one.runs for one in (seen.before, seen.now))


def test_where_neither_check_is_asked_the_note_says_what_was_counted() -> None:
    """The two checks are asked only where the fault shows now and then, or was not seen."""
    counted = Counted()
    counted.count(5)
    assert [type(one.body) for one in runs_into_findings(counted.view, PEOPLE[ANNA], TEST)] == [Noted]
