"""Every kind of entry says something a person can read, without the words of the program."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest
from uuid6 import uuid7

from traveller.record.entries import Body, Decided, Entry, HazardRaised, Held, Moved, Noted
from traveller.record.saying import said
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
    entry = Entry(
        id=uuid7(), subject="U0000017", sequence=1, at=datetime.now(UTC), by="P000002G", terminal="t", body=body
    )
    assert said(entry) == words
