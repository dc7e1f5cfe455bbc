"""Every kind of entry says something a person can read, without the words of the program."""

from __future__ import annotations

from datetime import UTC, date, datetime
from uuid import UUID

import pytest
from uuid6 import uuid7

from traveller.judgement import Finding, Verdict
from traveller.quantities import read_quantity
from traveller.record.answers import Answer, Chosen, Read, Ticked
from traveller.record.entries import (
    Answered,
    Body,
    Decided,
    Entry,
    HazardRaised,
    Held,
    Moved,
    NonconformityClosed,
    Noted,
    Placed,
)
from traveller.record.handover_entries import NoteSeen
from traveller.record.run_entries import RunStarted
from traveller.record.saying import Names, said
from traveller.record.work_entries import WorkFitted, WorkPlanned, WorkRejected, WorkVerified
from traveller.vocabulary import HazardKind


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (Noted(text="fan ordered"), "fan ordered"),
        (Moved(station="load_test"), "to load test"),
        (Held(reason="waits for parts", look_again=date(2026, 12, 1)), "waits for parts; look again 2026-12-01"),
        (HazardRaised(hazard=HazardKind.STORED_CHARGE, detail="312 V"), "stored charge: 312 V"),
        (
            Decided(outcome="scrap", reason="board burnt through", customers_word="Ms Thorne, by mail"),
            "scrap: board burnt through (customer: Ms Thorne, by mail)",
        ),
        (
            WorkPlanned(reference="q3", part="IGBT", reason="matched set", matched_set="power stage"),
            "Q3 IGBT, matched set: power stage",
        ),
        (WorkFitted(reference="C17", fitted="470 µF", lot="2631"), "C17 470 µF, lot 2631"),
        (WorkRejected(reference="C17", why="wrong way round"), "C17: wrong way round"),
        (WorkVerified(reference="C17"), "C17"),
    ],
)
def test_an_entry_in_words(body: Body, words: str) -> None:
    assert said(entered(body)) == words


def entered(body: Body) -> Entry:
    return Entry(
        id=uuid7(), subject="U0000017", sequence=1, at=datetime.now(UTC), by="P000002G", terminal="t", body=body
    )


NAMES = Names({"load_test.rail": "The 5 V rail"}.__getitem__, {"R000001L": "Rig 1"}.__getitem__, "Europe/Berlin")


@pytest.mark.parametrize(
    ("answer", "finding", "words"),
    [
        (Ticked(yes=True), "yes", "The 5 V rail: yes, pass"),
        (Chosen(option="none"), "recorded", "The 5 V rail: none, pass"),
        (
            Read(reading=read_quantity("4.991", "V")),
            "4.991 V is inside 4.75 V to 5.25 V",
            "The 5 V rail: pass, 4.991 V is inside 4.75 V to 5.25 V",
        ),
        (Ticked(yes=False), "the rail is missing", "The 5 V rail: no, pass, the rail is missing"),
    ],
)
def test_an_answer_names_what_was_asked_and_says_nothing_twice(answer: Answer, finding: str, words: str) -> None:
    body = Answered(
        check="load_test.rail",
        station="load_test",
        edition="1-x",
        asks="x",
        answer=answer,
        finding=Finding(verdict=Verdict.PASS, says=finding),
    )
    assert said(entered(body), NAMES) == words


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (NoteSeen(note=uuid7()), ""),
        (NonconformityClosed(nonconformity=uuid7(), how="soldered anew"), "soldered anew"),
        (Placed(place="R000001L"), "on Rig 1"),
        # Berlin is one hour before UTC in winter: IANA time zone database.
        (RunStarted(run=UUID(int=0), started=datetime(2031, 1, 7, 0, 16, tzinfo=UTC)), "at 2031-01-07 01:16"),
    ],
)
def test_no_line_shows_a_person_what_only_the_program_reads(body: Body, words: str) -> None:
    assert said(entered(body), NAMES) == words


def test_without_the_shops_clock_a_moment_says_that_it_is_not_local() -> None:
    body = RunStarted(run=UUID(int=0), started=datetime(2031, 1, 7, 0, 16, tzinfo=UTC))
    assert said(entered(body)) == "at 2031-01-07 00:16 UTC"
