"""The small keepers: sheets, numbers, PINs, pictures."""

from __future__ import annotations

import hashlib
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import Engine, text

from tests.small_shop import NOW
from traveller.errors import InputError, NotReachable
from traveller.sheets import Check, CheckKind, Role, Sheet
from traveller.store import counters, pins, sheets_kept
from traveller.store.engine import reading, writing
from traveller.store.picture import LARGEST_BYTES, keep_picture, picture

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


# ---- PINs -----------------------------------------------------------------------------------------------


def test_a_pin_is_known_again_and_never_kept_as_it_is(engine: Engine) -> None:
    with writing(engine) as connection:
        pins.set_pin(connection, "P-1", "4711", NOW)
        assert pins.try_pin(connection, "P-1", "4711", NOW)
        assert not pins.try_pin(connection, "P-1", "4712", NOW)
        assert not pins.try_pin(connection, "P-2", "4711", NOW)
        kept = connection.execute(text("SELECT hash FROM pin")).scalar_one()
        assert kept.startswith("$argon2id$") and "4711" not in kept
        pins.set_pin(connection, "P-1", "00815", NOW)
        assert not pins.try_pin(connection, "P-1", "4711", NOW)
        assert pins.try_pin(connection, "P-1", "00815", NOW)


@pytest.mark.parametrize("pin", ["", "123", "1" * 13, "12a4", " 1234", "1234\n", "١٢٣٤"])
def test_a_pin_of_another_form_is_refused(engine: Engine, pin: str) -> None:
    with pytest.raises(InputError, match="4 to 12 digits"), writing(engine) as connection:
        pins.set_pin(connection, "P-1", pin, NOW)


def test_a_damaged_hash_lets_nobody_in(engine: Engine) -> None:
    with writing(engine) as connection:
        pins.set_pin(connection, "P-1", "4711", NOW)
        connection.execute(text("UPDATE pin SET hash = 'x'"))
        assert not pins.try_pin(connection, "P-1", "4711", NOW)


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
