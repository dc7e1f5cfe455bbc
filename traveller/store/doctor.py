"""What a shop's database and this terminal need to keep a record safely, each found and said."""

from __future__ import annotations

import shutil
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Literal

from sqlalchemy import Connection, Engine, text

from traveller.counting import many
from traveller.store.engine import reading
from traveller.store.migrations import HEAD
from traveller.store.shop_clock import MOST

State = Literal["good", "look", "bad"]
SIGNS: dict[State, str] = {"good": "✓", "look": "?", "bad": "✗"}
ROOM_WANTED = 1_000_000_000
MOST_SECONDS_APART = MOST.total_seconds()
OLDEST_POSTGRESQL, OLDEST_SQLITE = 130000, (3, 35, 0)
"""SQLite has RETURNING since 3.35.0 (its release notes)."""


@dataclass(frozen=True)
class Found:
    """One thing looked at. `todo` says what to do unless it is good."""

    state: State
    what: str
    todo: str = ""

    @property
    def line(self) -> str:
        return f"{SIGNS[self.state]} {self.state:4}  {self.what}" + (f": {self.todo}" if self.todo else "")


def look(engine: Engine, now: datetime) -> list[Found]:
    """Everything that can be found out without changing anything. NotReachable when the database is not there."""
    with reading(engine) as connection:
        return [*_both(connection, now), *(_sqlite if engine.dialect.name == "sqlite" else _postgresql)(connection)]


def _judged(good: bool, what: str, todo: str, otherwise: State = "bad") -> Found:
    return Found("good", what) if good else Found(otherwise, what, todo)


CLOCK = {"sqlite": "SELECT strftime('%s', 'now')", "postgresql": "SELECT extract(epoch FROM now())"}
GUARDS = {
    "sqlite": "SELECT count(*) FROM sqlite_master WHERE type = 'trigger' AND name LIKE 'entry_refuses%'",
    "postgresql": "SELECT count(*) FROM pg_trigger WHERE tgname LIKE 'entry_refuses%' AND tgenabled <> 'D'",
}


def _both(connection: Connection, now: datetime) -> Iterator[Found]:
    engine = connection.dialect.name
    revision = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    yield _judged(revision == HEAD, f"form of the database {revision}, of this program {HEAD}", "update this terminal")
    theirs = datetime.fromtimestamp(float(connection.execute(text(CLOCK[engine])).scalar_one()), UTC)
    apart = (now - theirs).total_seconds()
    side = "ahead of" if apart > 0 else "behind"
    said = f"this terminal's clock is {abs(apart):.0f} s {side} the database's"
    yield _judged(abs(apart) < MOST_SECONDS_APART, said, "set the clock: every entry carries it")
    guards = connection.execute(text(GUARDS[engine])).scalar_one()
    yield _judged(
        guards > 0, f"{many(guards, 'guard')} against changing an entry", "restore the database from a backup"
    )


# ---- SQLite -------------------------------------------------------------------------------------------------


def _sqlite(connection: Connection) -> Iterator[Found]:
    import sqlite3

    version = sqlite3.sqlite_version_info
    yield _judged(version >= OLDEST_SQLITE, f"SQLite {sqlite3.sqlite_version}", "install a newer Python")
    for setting, wanted in (("journal_mode", "wal"), ("synchronous", "2"), ("foreign_keys", "1")):
        value = str(connection.execute(text(f"PRAGMA {setting}")).scalar())
        yield _judged(
            value == wanted, f"{setting} is {value}", f"it has to be {wanted}: tell who looks after the program"
        )
    sound = str(connection.execute(text("PRAGMA quick_check(1)")).scalar())
    yield _judged(sound == "ok", f"pages of the file: {sound}", "copy the file away, then restore the last backup")
    path = Path(str(connection.engine.url.database))
    mode = stat.S_IMODE(path.stat().st_mode)
    yield _judged(not mode & 0o007, f"the file's mode is {mode:04o}", f"others may touch it: chmod 0660 {path}", "look")
    yield _room(path)


def _room(path: Path) -> Found:
    free = shutil.disk_usage(path.parent).free
    return _judged(free > ROOM_WANTED, f"{free / 1e9:.1f} GB are free at {path.parent}", "make room", "look")


# ---- PostgreSQL ---------------------------------------------------------------------------------------------


def _postgresql(connection: Connection) -> Iterator[Found]:
    def setting(name: str) -> str:
        return str(connection.execute(text("SELECT current_setting(:name)"), {"name": name}).scalar())

    version = int(setting("server_version_num"))
    yield _judged(version >= OLDEST_POSTGRESQL, f"PostgreSQL {setting('server_version')}", "use version 13 or newer")
    standby = bool(connection.execute(text("SELECT pg_is_in_recovery()")).scalar())
    yield _judged(
        not standby, "the server takes entries" if not standby else "this server is a standby", "name the primary"
    )
    for name in ("fsync", "full_page_writes"):
        yield _judged(
            setting(name) == "on", f"{name} is {setting(name)}", "switch it on: a power cut would lose entries"
        )
    commit = setting("synchronous_commit")
    yield _judged(commit != "off", f"synchronous_commit is {commit}", "switch it on: a power cut would lose entries")
    sums = setting("data_checksums")
    yield _judged(sums == "on", f"data_checksums is {sums}", "switch it on with pg_checksums, so rot is found", "look")
    yield from _replication(connection, setting("synchronous_standby_names"))
    yield from _rights(connection)
    secure = connection.execute(text("SELECT ssl FROM pg_stat_ssl WHERE pid = pg_backend_pid()")).scalar()
    local = connection.execute(text("SELECT inet_client_addr() IS NULL")).scalar()
    way = "the connection stays on this machine" if local else f"the connection is {'' if secure else 'not '}encrypted"
    yield _judged(bool(secure or local), way, "set up TLS and add ?sslmode=verify-full to the name", "look")
    encoding = setting("server_encoding")
    yield _judged(encoding == "UTF8", f"the encoding is {encoding}", "make the database with ENCODING 'UTF8'")


def _replication(connection: Connection, named: str) -> Iterator[Found]:
    states: list[Any] = list(connection.execute(text("SELECT sync_state FROM pg_stat_replication")).scalars())
    known = ", ".join(str(one or "hidden from this role") for one in states)
    what = f"{many(len(states), 'standby server')} ({known})" if states else "no standby server"
    todo = "one machine holds the whole record: set up a standby, or keep backups elsewhere"
    yield _judged(bool(states), what, todo, "look")
    if named and not states:
        yield Found("bad", f"synchronous_standby_names is {named} and none is there", "every entry will wait for it")


def _rights(connection: Connection) -> Iterator[Found]:
    role, is_super = connection.execute(
        text("SELECT current_user, rolsuper FROM pg_roles WHERE rolname = current_user")
    ).one()
    yield _judged(not is_super, f"the terminal comes as {role}", "give terminals a role that is no superuser", "look")
    may = [
        right
        for right in ("UPDATE", "DELETE", "TRUNCATE")
        if connection.execute(text("SELECT has_table_privilege('entry', :right)"), {"right": right}).scalar()
    ]
    said = f"{role} may {', '.join(may)} entries" if may else f"{role} may only add entries"
    yield _judged(not may, said, "take these rights from the terminals' role; the guards still refuse", "look")
