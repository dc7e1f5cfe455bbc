"""Cards: how a queue is ordered and what a search finds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine

from traveller.store import cards
from traveller.store.cards import Card
from traveller.store.engine import reading, writing

AT = datetime(2026, 3, 29, 1, 30, tzinfo=UTC)

CARD = Card(
    tag="U-0001-X",
    unit_kind="ac_drive",
    maker="Nordwick",
    model="ND 400",
    serial="SN-77 001",
    customer="Käserei Größl",
    order_ref="PO_12%7",
    fault="trips when hot",
    station="diagnosis",
    place="S-04",
    outcome="repair",
    promised=date(2026, 4, 2),
    held_reason="",
    look_again=None,
    hazards=("stored_charge", "hot"),
    released_at=None,
    checks_done=3,
    checks_asked=9,
    work_done=0,
    work_lines=2,
    stale=1,
    failed=0,
    next_check="diagnosis.dead",
    open_questions=1,
    nonconformities=0,
    booked_at=AT,
    arrived_at=AT,
    last_at=AT,
    last_by="P-1",
    sequence=7,
)


def keep(engine: Engine, *some: Card) -> None:
    with writing(engine) as connection:
        for card in some:
            cards.put(connection, card)


def tags(some: Sequence[Card]) -> list[str]:
    return [card.tag for card in some]


def test_a_card_comes_back_as_it_was_put(engine: Engine) -> None:
    bare = replace(CARD, tag="U-0002", promised=None, hazards=(), booked_at=None, arrived_at=None)
    held = replace(bare, tag="U-0003", held_reason="parts", look_again=date(2026, 4, 1), released_at=AT)
    keep(engine, CARD, bare, held)
    with reading(engine) as connection:
        assert [cards.get(connection, one.tag) for one in (CARD, bare, held)] == [CARD, bare, held]
        assert cards.get(connection, "U-9999") is None
        assert cards.all_tags(connection) == ["U-0001-X", "U-0002", "U-0003"]


def test_the_later_card_of_a_unit_replaces_the_earlier(engine: Engine) -> None:
    zone = timezone(timedelta(hours=2))
    later = replace(CARD, sequence=8, customer="Molino", last_at=AT.astimezone(zone), promised=None)
    keep(engine, CARD, later)
    with reading(engine) as connection:
        assert cards.in_work(connection) == [later]
        assert cards.search(connection, "käserei") == []


def test_a_queue_is_in_the_order_of_work(engine: Engine) -> None:
    """Promised first comes first, unpromised after them, the one waiting longer first, held units last."""
    hour = timedelta(hours=1)
    keep(
        engine,
        replace(CARD, tag="held", held_reason="parts", promised=date(2026, 3, 1)),
        replace(CARD, tag="open late", promised=None, arrived_at=AT + hour),
        replace(CARD, tag="open early", promised=None, arrived_at=AT),
        replace(CARD, tag="april", promised=date(2026, 4, 9)),
        replace(CARD, tag="december", promised=date(2026, 12, 1)),
        replace(CARD, tag="left", promised=date(2026, 1, 1), released_at=AT),
        replace(CARD, tag="elsewhere", station="dispatch", promised=date(2026, 1, 1)),
    )
    order = ["april", "december", "open early", "open late", "held"]
    with reading(engine) as connection:
        assert tags(cards.at_station(connection, "diagnosis")) == order
        assert tags(cards.in_work(connection)) == ["elsewhere", *order]


@pytest.mark.parametrize(
    "sought",
    [
        "u-0001",
        "U-0001-x",
        "77 001",
        "KÄSEREI GRÖSSL",
        "größl",
        "po_12%7",
        "nordwick nd",
        "400 sn",
        " nd 400 ",
    ],
)
def test_a_search_finds_by_every_name_in_any_case(engine: Engine, sought: str) -> None:
    """Case folding: Unicode 15 section 3.13, by which GRÖSSL and Größl are alike."""
    keep(engine, CARD, replace(CARD, tag="U-7", serial="9", customer="B", order_ref="", maker="C", model="D"))
    with reading(engine) as connection:
        assert tags(cards.search(connection, sought)) == ["U-0001-X"]


@pytest.mark.parametrize("sought", ["", "  ", "%", "_", "0001-X", "nordwick molino", "\\", "'"])
def test_a_search_takes_no_character_for_a_wildcard(engine: Engine, sought: str) -> None:
    keep(engine, replace(CARD, order_ref="PO 1"))
    with reading(engine) as connection:
        assert cards.search(connection, sought) == []


def test_a_search_shows_tags_first_then_units_in_the_house_and_has_a_limit(engine: Engine) -> None:
    keep(
        engine,
        replace(CARD, tag="U-1", released_at=AT, last_at=AT + timedelta(days=1)),
        replace(CARD, tag="U-2"),
        replace(CARD, tag="U-3", last_at=AT + timedelta(hours=1)),
        replace(CARD, tag="ND", released_at=AT),
    )
    with reading(engine) as connection:
        assert tags(cards.search(connection, "nd")) == ["ND", "U-3", "U-2", "U-1"]
        assert tags(cards.search(connection, "nd", limit=2)) == ["ND", "U-3"]


def test_an_earlier_visit_is_found_by_serial_number_and_maker(engine: Engine) -> None:
    keep(
        engine,
        replace(CARD, tag="first", booked_at=AT, released_at=AT),
        replace(CARD, tag="second", serial="sn-77 001", maker="NORDWICK", booked_at=AT + timedelta(days=9)),
        replace(CARD, tag="longer", serial="SN-77 0012"),
        replace(CARD, tag="other maker", maker="Südwerk", booked_at=AT - timedelta(days=9)),
        replace(CARD, tag="named in the order", serial="1", order_ref="SN-77 001"),
    )
    with reading(engine) as connection:
        assert tags(cards.by_serial(connection, "SN-77 001", "Nordwick")) == ["second", "first"]
        assert tags(cards.by_serial(connection, "sn-77 001", "")) == ["second", "first", "other maker"]
        assert cards.by_serial(connection, "", "Nordwick") == []


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(name=st.text(st.characters(codec="utf-8", exclude_characters="\0"), min_size=1, max_size=20))
def test_whatever_a_customer_is_called_the_search_finds_it(engine: Engine, name: str) -> None:
    keep(engine, replace(CARD, customer=name))
    with reading(engine) as connection:
        assert cards.get(connection, CARD.tag) == replace(CARD, customer=name)
        found = tags(cards.search(connection, name))
    assert found == ([CARD.tag] if name.strip() else [])
