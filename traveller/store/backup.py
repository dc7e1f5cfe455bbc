"""A backup while the shop works, and the way back.

A backup is one SQLite file in this program's own form, whichever engine the shop runs on: one state of every
table, taken in one reading transaction, its chains walked before the file gets its name. `restore` brings it
back into an empty database of either engine.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, Table, func, insert, select, text

from traveller.errors import InputError, NotReachable, Refused
from traveller.store import journal, vouched
from traveller.store.engine import open_engine, reading, writing
from traveller.store.tables import entry, metadata

ROWS_AT_ONCE = 500
MAGIC = b"SQLite format 3\0"
"""How every SQLite file begins (SQLite documentation, Database File Format, 1.3)."""


@dataclass(frozen=True)
class Kept:
    """What a backup holds; `sha256` is that of the file."""

    path: Path
    subjects: int
    entries: int
    sha256: str


def backup(engine: Engine, path: Path, allow_lost: bool = False) -> Kept:
    """Write everything into a new file at `path`, and prove that it is sound. Nobody has to stop working meanwhile.

    Refused when something lies at `path` or the record is not sound; InputError when the folder cannot be written.
    """
    with _unfinished(path) as draft:
        target = open_engine(f"sqlite:///{draft}")
        try:
            with reading(engine) as source, writing(target) as into:
                _copy(source, into)
            subjects, entries = need_sound(target, allow_lost)
        finally:
            target.dispose()
        _settle(draft)
        _into_place(draft, path)
    return Kept(path, subjects, entries, _sha256(path))


def restore(path: Path, engine: Engine, allow_lost: bool = False) -> Kept:
    """Bring the backup at `path` into the empty database behind `engine`, and prove that it is sound there.

    InputError when the file is no backup, Refused when it is not sound or the database is not empty.
    """
    with tempfile.TemporaryDirectory(prefix="traveller-restore-") as folder:
        copy = _copied(path, Path(folder) / "backup.sqlite")
        source = open_engine(f"sqlite:///{copy}")
        try:
            need_sound(source, allow_lost)
            with reading(source) as rows, writing(engine) as into:
                if into.execute(select(func.count()).select_from(entry)).scalar_one():
                    raise Refused("This database holds a shop already: a backup is brought back into an empty one.")
                for table in metadata.sorted_tables:
                    if table is not entry:
                        into.execute(table.delete())
                _copy(rows, into)
                _count_on(into)
        finally:
            source.dispose()
    subjects, entries = need_sound(engine, allow_lost)
    return Kept(path, subjects, entries, _sha256(path))


def need_sound(engine: Engine, allow_lost: bool = False) -> tuple[int, int]:
    """(subjects, entries) of a database whose chains all fit, with all that they vouch for; Refused with the first
    line that does not. With `allow_lost` a picture or samples may be gone, but nothing may be changed."""
    with reading(engine) as connection:
        if engine.dialect.name == "sqlite":
            said = str(connection.execute(text("PRAGMA integrity_check(1)")).scalar())
            if said != "ok":
                raise Refused(f"The file is damaged ({said}): use another backup, and keep this one for a closer look.")
        known = journal.subjects(connection)
        for subject in known:
            for broken in vouched.verify(connection, subject):
                if not (broken.lost and allow_lost):
                    way = " With --allow-lost all the rest is." if broken.lost else ""
                    raise Refused(f"{broken.subject}, line {broken.sequence}: {broken.what} Nothing was written.{way}")
        return len(known), int(connection.execute(select(func.count()).select_from(entry)).scalar_one())


def _copy(source: Connection, into: Connection) -> None:
    for table in metadata.sorted_tables:
        for rows in _rows(source, table):
            into.execute(insert(table), rows)


def _rows(source: Connection, table: Table) -> Iterator[list[dict[str, Any]]]:
    order = list(table.primary_key.columns)
    found = source.execution_options(yield_per=ROWS_AT_ONCE).execute(select(table).order_by(*order))
    for part in found.mappings().partitions(ROWS_AT_ONCE):
        yield [dict(row) for row in part]


def _count_on(into: Connection) -> None:
    """PostgreSQL gives the next entry the next free position; SQLite finds it by itself."""
    if into.dialect.name == "postgresql":
        last = "SELECT setval(pg_get_serial_sequence('entry', 'position'), COALESCE(MAX(position), 1)) FROM entry"
        into.execute(text(last))


# ---- files --------------------------------------------------------------------------------------------------


def _copied(path: Path, copy: Path) -> Path:
    """What is looked into is a copy: opening it may bring it to this version."""
    try:
        if not path.is_file():
            raise InputError(f"{path} is not there: give the file that `traveller backup` wrote.")
        with path.open("rb") as file:
            if file.read(len(MAGIC)) != MAGIC:
                raise InputError(f"{path} is no backup of this program: give the file that `traveller backup` wrote.")
        shutil.copyfile(path, copy)
    except OSError as error:
        raise InputError(
            f"{path} cannot be read, or copied to {copy.parent} ({error.strerror}): look after both disks."
        ) from None
    return copy


@contextmanager
def _unfinished(path: Path) -> Iterator[Path]:
    """A file beside `path` that nobody takes for a backup, gone afterwards whatever happens."""
    draft = path.with_name(f".{path.name}.unfinished")
    try:
        if path.exists():
            raise _there_already(path)
        path.parent.mkdir(parents=True, exist_ok=True)
        draft.unlink(missing_ok=True)
        draft.touch(mode=0o600)
    except OSError as error:
        raise InputError(f"{path.parent} cannot be written ({error.strerror}): name another folder.") from None
    try:
        yield draft
    finally:
        for one in (draft, Path(f"{draft}-wal"), Path(f"{draft}-shm")):
            one.unlink(missing_ok=True)


def _there_already(path: Path) -> Refused:
    return Refused(f"{path} is there already: name a new file, a backup is never written over.")


def _settle(draft: Path) -> None:
    """Everything into the one file, so that it can be carried away alone."""
    import sqlite3

    connection = sqlite3.connect(draft)
    try:
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        connection.execute("PRAGMA journal_mode = DELETE")
    finally:
        connection.close()


def _into_place(draft: Path, path: Path) -> None:
    """On the disk before it has its name; an existing file is never written over."""
    try:
        with draft.open("rb") as file:
            os.fsync(file.fileno())
        _named(draft, path)
        folder = os.open(path.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)
    except FileExistsError:
        raise _there_already(path) from None
    except OSError as error:
        raise NotReachable(f"{path} could not be written ({error.strerror}): name another place.") from None


def _named(draft: Path, path: Path) -> None:
    """By a second name, which is never given twice; where a file has only one (a memory stick), it is renamed."""
    try:
        os.link(draft, path)
    except FileExistsError:
        raise
    except OSError:
        if path.exists():
            raise FileExistsError from None
        draft.rename(path)


def _sha256(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
