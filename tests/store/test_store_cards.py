"""Cards, and the small keepers: sheets, numbers, PINs, pictures."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine, text

from traveller.errors import InputError, NotReachable
from traveller.sheets import Check, CheckKind, Role, Sheet
from traveller.store import cards, counters, pins, sheets_kept
from traveller.store.cards import Card
from traveller.store.engine import reading, writing
from traveller.store.picture import LARGEST_BYTES, keep_picture, picture

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


# ---- sheets ---------------------------------------------------------------------------------------------


def sheet(ask: str = "Is the label on?") -> Sheet:
    check = Check(key="label", station="goods_in", ask=ask, kind=CheckKind.TICK)
    return Sheet(key="goods_in", name="Goods-in", order=1, revision=1, who=(Role.TECHNICIAN,), checks=(check,))


def test_every_edition_of_a_sheet_stays_readable(engine: Engine) -> None:
    old, new = sheet(), sheet("Is the label on and legible?")
    with writing(engine) as connection:
        for one in (old, new, old):
            sheets_kept.keep(connection, one)
    with reading(engine) as connection:
        assert sheets_kept.kept(connection, "goods_in", old.edition) == old
        assert sheets_kept.kept(connection, "goods_in", new.edition) == new
        assert sheets_kept.kept(connection, "goods_in", "9-00000000") is None


def test_a_sheet_that_cannot_be_read_is_named(engine: Engine) -> None:
    with writing(engine) as connection:
        sheets_kept.keep(connection, sheet())
        connection.execute(text("UPDATE sheet SET content = '{}'"))
        with pytest.raises(NotReachable, match=r"goods_in, edition 1-.*update this terminal"):
            sheets_kept.kept(connection, "goods_in", sheet().edition)


# ---- numbers --------------------------------------------------------------------------------------------


def test_a_number_is_given_once_even_to_four_at_once(engine: Engine) -> None:
    def take_ten() -> list[int]:
        taken = []
        for _ in range(10):
            with writing(engine) as connection:
                taken.append(counters.take(connection, "tag U"))
        return taken

    with ThreadPoolExecutor(4) as pool:
        numbers = [n for future in [pool.submit(take_ten) for _ in range(4)] for n in future.result()]
    assert sorted(numbers) == list(range(1, 41))


def test_numbers_go_on_from_where_they_are_set(engine: Engine) -> None:
    with writing(engine) as connection:
        counters.set_to(connection, "tag U", 5_000_000_000)
        assert counters.take(connection, "tag U") == 5_000_000_001
        assert counters.take(connection, "tag P") == 1


# ---- PINs -----------------------------------------------------------------------------------------------


def test_a_pin_is_known_again_and_never_kept_as_it_is(engine: Engine) -> None:
    with writing(engine) as connection:
        pins.set_pin(connection, "P-1", "4711")
        assert pins.check_pin(connection, "P-1", "4711")
        assert not pins.check_pin(connection, "P-1", "4712")
        assert not pins.check_pin(connection, "P-2", "4711")
        kept = connection.execute(text("SELECT hash FROM pin")).scalar_one()
        assert kept.startswith("$argon2id$") and "4711" not in kept
        pins.set_pin(connection, "P-1", "00815")
        assert not pins.check_pin(connection, "P-1", "4711")
        assert pins.check_pin(connection, "P-1", "00815")


@pytest.mark.parametrize("pin", ["", "123", "1" * 13, "12a4", " 1234", "1234\n", "١٢٣٤"])
def test_a_pin_of_another_form_is_refused(engine: Engine, pin: str) -> None:
    with pytest.raises(InputError, match="4 to 12 digits"), writing(engine) as connection:
        pins.set_pin(connection, "P-1", pin)


def test_a_damaged_hash_lets_nobody_in(engine: Engine) -> None:
    with writing(engine) as connection:
        pins.set_pin(connection, "P-1", "4711")
        connection.execute(text("UPDATE pin SET hash = 'x'"))
        assert not pins.check_pin(connection, "P-1", "4711")


def test_a_pin_is_checked_without_a_noticeable_wait(engine: Engine) -> None:
    """The quickest of five, because the machine of the tests has other work."""
    with writing(engine) as connection:
        pins.set_pin(connection, "P-1", "4711")
        took = []
        for _ in range(5):
            began = time.perf_counter()
            assert pins.check_pin(connection, "P-1", "4711")
            took.append(time.perf_counter() - began)
    assert min(took) < 0.1


# ---- pictures -------------------------------------------------------------------------------------------

PNG = b"\x89PNG\r\n\x1a\n" + b"\0\1\2" * 100


def test_a_picture_is_kept_once_under_its_digest(engine: Engine) -> None:
    with writing(engine) as connection:
        sha256 = keep_picture(connection, "burnt.png", PNG)
        assert keep_picture(connection, "again.png", PNG) == sha256 == hashlib.sha256(PNG).hexdigest()
        assert picture(connection, sha256) == ("burnt.png", PNG)
        assert picture(connection, "0" * 64) is None
        assert connection.execute(text("SELECT count(*) FROM picture")).scalar() == 1


@pytest.mark.parametrize(
    ("start", "media_type"),
    [
        (b"\x89PNG\r\n\x1a\n", "image/png"),
        (b"\xff\xd8\xff\xe0", "image/jpeg"),
        (b"II*\0", "image/tiff"),
        (b"MM\0*", "image/tiff"),
    ],
)
def test_the_kind_of_a_picture_is_read_from_its_first_bytes(engine: Engine, start: bytes, media_type: str) -> None:
    """ISO/IEC 15948 5.2 (PNG), ISO/IEC 10918-1 B.1.1.3 (JPEG, SOI), TIFF 6.0 section 2."""
    with writing(engine) as connection:
        keep_picture(connection, "x", start + b"...")
        assert connection.execute(text("SELECT media_type FROM picture")).scalar() == media_type


def test_what_is_no_picture_or_too_large_is_refused(engine: Engine) -> None:
    with writing(engine) as connection:
        for data in (b"", b"GIF89a", b"%PDF-1.7", b"\x89PNG"):
            with pytest.raises(InputError, match=r"note\.pdf is not a PNG, JPEG or TIFF"):
                keep_picture(connection, "note.pdf", data)
        largest = PNG + b"\0" * (LARGEST_BYTES - len(PNG))
        with pytest.raises(InputError, match="25 MB is the most"):
            keep_picture(connection, "wall.png", largest + b"\0")
        keep_picture(connection, "wall.png", largest)
