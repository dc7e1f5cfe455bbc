"""The small keepers: sheets, numbers, PINs, pictures."""

from __future__ import annotations

import hashlib
from concurrent.futures import ThreadPoolExecutor

import pytest
from sqlalchemy import Engine, text

from tests.small_shop import NOW
from traveller.errors import InputError, NotReachable
from traveller.sheets import Check, CheckKind, Sheet
from traveller.store import counters, pins, sheets_kept
from traveller.store.engine import reading, writing
from traveller.store.picture import PictureFile, keep_picture, picture
from traveller.vocabulary import Role

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


def test_in_a_shop_a_guess_costs_what_is_recommended(cost_of_a_pin: dict[str, int]) -> None:
    """OWASP Password Storage Cheat Sheet, Argon2id: at least 19 MiB, two passes, one lane."""
    assert cost_of_a_pin["memory_cost"] >= 19 * 1024 and cost_of_a_pin["time_cost"] >= 2
    assert cost_of_a_pin != pins.COST, "the tests hash at their own, small cost"


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
    one, again = (PictureFile(name, PNG) for name in ("burnt.png", "again.png"))
    sha256 = one.enclosed.sha256
    assert again.enclosed.sha256 == sha256 == hashlib.sha256(PNG).hexdigest()
    with writing(engine) as connection:
        keep_picture(connection, one.enclosed, PNG)
        keep_picture(connection, again.enclosed, PNG)
        assert picture(connection, sha256) == ("burnt.png", PNG)
        assert picture(connection, "0" * 64) is None
        assert connection.execute(text("SELECT count(*), max(size) FROM picture")).one() == (1, len(PNG))
