"""Backup while the shop works, and the way back into either engine; what a doctor finds."""

from __future__ import annotations

import errno
import os
import shutil
import sqlite3
import stat
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import psycopg
import pytest
from sqlalchemy import Engine, make_url, select, text

from tests.small_shop import PIN, SmallShop
from traveller.errors import InputError, NotReachable, Refused
from traveller.store.backup import backup, need_sound, restore
from traveller.store.doctor import Found, look
from traveller.store.engine import open_engine, reading, writing
from traveller.store.tables import metadata
from traveller.store.workshop import Workshop


def contents(engine: Engine) -> dict[str, list[tuple[object, ...]]]:
    """Every row of every table, in the order of its key."""
    with reading(engine) as connection:
        return {
            table.name: [tuple(row) for row in connection.execute(select(table).order_by(*table.primary_key.columns))]
            for table in metadata.sorted_tables
        }


@pytest.fixture(name="elsewhere")
def _elsewhere(database_url: str, tmp_path: Path) -> Iterator[str]:
    """An empty database of the same engine as the shop's."""
    if database_url.startswith("sqlite"):
        yield f"sqlite:///{tmp_path / 'elsewhere.sqlite'}"
        return
    name = f"{make_url(database_url).database}_elsewhere"
    with closing(psycopg.connect(database_url.replace("+psycopg", ""), autocommit=True)) as admin:
        admin.execute(f'CREATE DATABASE "{name}"')
    yield str(make_url(database_url).set(database=name).render_as_string(hide_password=False))


def test_what_comes_back_is_what_was_there(shop: SmallShop, elsewhere: str, tmp_path: Path) -> None:
    tag = shop.ready()
    kept = backup(shop.workshop.engine, tmp_path / "kept" / "monday.backup")
    engine = open_engine(elsewhere)
    restored = restore(kept.path, engine)
    assert (restored.entries, restored.subjects, restored.sha256) == (kept.entries, kept.subjects, kept.sha256)
    assert contents(engine) == contents(shop.workshop.engine)
    engine.dispose()
    second = Workshop.open(elsewhere, overlay=shop.sheets)
    assert second.unit(tag).reasons == []
    assert second.verify() == []
    assert second.cards_astray() == []
    assert second.sign_on("Mira", PIN).tag == shop.clerk
    after = second.note(tag, shop.technician, "the first entry after the restore")
    assert after.unit.sequence == shop.workshop.unit(tag).unit.sequence + 1
    second.close()


def test_a_backup_while_others_write_is_one_state_of_the_record(shop: SmallShop, tmp_path: Path) -> None:
    tag = shop.booked()

    def scribble() -> None:
        terminal = shop.terminal("scribbler")
        for number in range(60):
            terminal.note(tag, shop.technician, f"line {number}")
        terminal.close()

    with ThreadPoolExecutor(1) as hands:
        writing_on = hands.submit(scribble)
        while shop.workshop.unit(tag).unit.sequence < 10:
            pass
        kept = [backup(shop.workshop.engine, tmp_path / f"{number}.backup") for number in range(3)]
        writing_on.result()
    for one in kept:
        copy = open_engine(f"sqlite:///{one.path}")
        assert need_sound(copy) == (one.subjects, one.entries)
        copy.dispose()
    assert [one.entries for one in kept] == sorted(one.entries for one in kept)


def test_a_backup_is_one_file_for_its_owner_alone(shop: SmallShop, tmp_path: Path) -> None:
    shop.booked()
    kept = backup(shop.workshop.engine, tmp_path / "b" / "tuesday.backup")
    assert [one.name for one in kept.path.parent.iterdir()] == ["tuesday.backup"]
    assert stat.S_IMODE(kept.path.stat().st_mode) == 0o600
    with pytest.raises(Refused, match="is there already"):
        backup(shop.workshop.engine, kept.path)


def test_a_backup_goes_onto_a_disk_where_a_file_has_one_name_only(
    shop: SmallShop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on a memory stick: link(2) fails there with EPERM."""

    def no_links(_there: object, _here: object) -> None:
        raise PermissionError(errno.EPERM, "Operation not permitted")

    shop.booked()
    monkeypatch.setattr(os, "link", no_links)
    kept = backup(shop.workshop.engine, tmp_path / "b" / "stick.backup")
    assert [one.name for one in kept.path.parent.iterdir()] == ["stick.backup"]
    before = kept.path.read_bytes()
    with pytest.raises(Refused, match="is there already"):
        backup(shop.workshop.engine, kept.path)
    assert kept.path.read_bytes() == before


def test_a_tampered_backup_is_named_and_not_brought_back(shop: SmallShop, elsewhere: str, tmp_path: Path) -> None:
    tag = shop.booked()
    kept = backup(shop.workshop.engine, tmp_path / "wednesday.backup")
    with closing(sqlite3.connect(kept.path)) as connection:
        connection.execute("DROP TRIGGER entry_refuses_update")
        connection.execute("UPDATE entry SET payload = replace(payload, 'Mill', 'Moll') WHERE subject = ?", (tag,))
        connection.commit()
    engine = open_engine(elsewhere)
    with pytest.raises(Refused, match=f"{tag}, line 1: .*changed after it was written"):
        restore(kept.path, engine)
    assert not any(contents(engine)["entry"])
    engine.dispose()


def test_a_shop_is_never_written_over(shop: SmallShop, tmp_path: Path) -> None:
    shop.booked()
    kept = backup(shop.workshop.engine, tmp_path / "thursday.backup")
    before = contents(shop.workshop.engine)
    with pytest.raises(Refused, match="holds a shop already"):
        restore(kept.path, shop.workshop.engine)
    assert contents(shop.workshop.engine) == before


@pytest.mark.parametrize("rubbish", [b"", b"this is no database", b"SQLite format 3\0" + b"\x07" * 5000])
def test_a_file_that_is_no_backup_is_refused_in_words(rubbish: bytes, elsewhere: str, tmp_path: Path) -> None:
    (tmp_path / "rubbish").write_bytes(rubbish)
    engine = open_engine(elsewhere)
    with pytest.raises((InputError, NotReachable)) as told:
        restore(tmp_path / "rubbish", engine)
    assert "restore" in str(told.value) or "backup" in str(told.value)
    engine.dispose()


def test_a_backup_that_cannot_be_copied_is_told(
    shop: SmallShop, elsewhere: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_path: object, _copy: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    shop.booked()
    kept = backup(shop.workshop.engine, tmp_path / "full.backup")
    engine = open_engine(elsewhere)
    monkeypatch.setattr(shutil, "copyfile", full)
    with pytest.raises(InputError, match="No space left on device"):
        restore(kept.path, engine)
    engine.dispose()


def test_a_backup_cut_off_in_the_middle_is_refused(shop: SmallShop, elsewhere: str, tmp_path: Path) -> None:
    shop.ready()
    kept = backup(shop.workshop.engine, tmp_path / "friday.backup")
    kept.path.write_bytes(kept.path.read_bytes()[: kept.path.stat().st_size // 2])
    engine = open_engine(elsewhere)
    with pytest.raises((Refused, NotReachable)):
        restore(kept.path, engine)
    assert not any(contents(engine)["entry"])
    engine.dispose()


def test_a_log_without_its_database_is_not_played_into_a_new_one(tmp_path: Path) -> None:
    """SQLite plays a -wal file into the database beside it (sqlite.org/wal.html, section 4)."""
    (tmp_path / "new.sqlite-wal").write_bytes(b"left over")
    with pytest.raises(NotReachable, match="belongs to a database that is no longer there"):
        open_engine(f"sqlite:///{tmp_path / 'new.sqlite'}")
    assert not (tmp_path / "new.sqlite").exists()


def test_a_new_file_is_for_its_owner_alone(tmp_path: Path) -> None:
    workshop = Workshop.open(f"sqlite:///{tmp_path / 'new.sqlite'}")
    modes = {one.name: stat.S_IMODE(one.stat().st_mode) for one in tmp_path.glob("new.sqlite*")}
    workshop.close()
    assert set(modes.values()) == {0o600}
    assert len(modes) > 1, "the log files too"


# ---- doctor -------------------------------------------------------------------------------------------------


def found(engine: Engine, words: str, now: datetime | None = None) -> Found:
    return next(one for one in look(engine, now or datetime.now(UTC)) if words in one.what)


def test_a_sound_database_has_nothing_bad(shop: SmallShop) -> None:
    seen = look(shop.workshop.engine, datetime.now(UTC))
    assert len(seen) >= 9
    not_ours = ("fsync is off",)  # the server of the tests is laid out for speed
    assert [one.line for one in seen if one.state == "bad" and one.what not in not_ours] == []
    assert all(one.todo for one in seen if one.state != "good")


def test_a_clock_that_is_an_hour_off_is_found(shop: SmallShop) -> None:
    late = found(shop.workshop.engine, "clock", datetime.now(UTC) + timedelta(hours=1))
    assert late.state == "bad"
    assert "ahead of" in late.what
    assert found(shop.workshop.engine, "clock").state == "good"


def test_missing_guards_are_found(shop: SmallShop) -> None:
    assert found(shop.workshop.engine, "guard").state == "good"
    on_sqlite = shop.workshop.engine.dialect.name == "sqlite"
    drops = ["DROP TRIGGER entry_refuses_update", "DROP TRIGGER entry_refuses_delete"]
    with writing(shop.workshop.engine) as connection:
        for drop in drops if on_sqlite else ["ALTER TABLE entry DISABLE TRIGGER entry_refuses_change"]:
            connection.execute(text(drop))
    assert found(shop.workshop.engine, "guard").state == "bad"


def test_a_role_that_may_change_entries_is_told(shop: SmallShop) -> None:
    if shop.workshop.engine.dialect.name == "sqlite":
        assert found(shop.workshop.engine, "mode is").state == "good"
        return
    rights = found(shop.workshop.engine, "may")
    assert rights.state == "look"
    assert "UPDATE" in rights.what


def test_an_open_file_is_told(shop: SmallShop) -> None:
    if shop.workshop.engine.dialect.name != "sqlite":
        assert found(shop.workshop.engine, "stays on this machine").state == "good"
        return
    Path(str(shop.workshop.engine.url.database)).chmod(0o666)
    assert found(shop.workshop.engine, "mode is 0666").state == "look"
