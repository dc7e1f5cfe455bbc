"""The disk of the database is full, its file is cut short, its log is deleted, an old backup takes its place.

Nothing of it passes unseen: every acknowledged entry is on the record, or somebody is told that it is not.
"""

from __future__ import annotations

import os
import random
import resource
import shutil
import signal
import sqlite3
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from uuid import UUID

import pytest
from click.testing import CliRunner

from tests.small_shop import PLATE, SmallShop, opened
from tests.trials import tell, trials
from traveller.commands.root import root
from traveller.errors import TravellerError
from traveller.store.workshop import Workshop

SEED = 20260329


@contextmanager
def quota(folder: Path, more: int) -> Iterator[None]:
    """No file of this process may become longer than the longest one is now, and a little more (setrlimit(2))."""
    longest = max(one.stat().st_size for one in folder.iterdir() if one.is_file())
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    ignored = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (longest + more, before[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, ignored)


@pytest.fixture
def small_disk() -> Iterator[Path]:
    """A disk of three megabytes, in memory; only root may have one."""
    with tempfile.TemporaryDirectory(prefix="traveller-disk-") as folder:
        made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=3m", "tmpfs", folder], capture_output=True)
        if made.returncode:
            pytest.skip("no disk can be mounted here: the quota test stands for it")
        try:
            yield Path(folder)
        finally:
            subprocess.run(["umount", folder], check=True)


def write_until_refused(shop: SmallShop, tag: str, most: int = 400) -> set[UUID]:
    """What was acknowledged before the disk was full; the refusal is a sentence about the disk."""
    acknowledged: set[UUID] = set()
    for _ in range(most):
        try:
            view = shop.workshop.note(tag, shop.technician, "x" * 3_000)
        except TravellerError as error:
            assert "disk of the database" in str(error)
            return acknowledged
        acknowledged.add(view.entries[-1].id)
    raise AssertionError("the disk was never full")


def after_room_was_made(shop: SmallShop, tag: str, acknowledged: set[UUID]) -> int:
    """How many were lost (none); and writing goes on."""
    fresh = shop.terminal("fresh")
    fresh.note(tag, shop.technician, "there is room again")
    lost = acknowledged - {one.id for one in fresh.unit(tag).entries}
    assert (lost, fresh.verify(), fresh.cards_astray()) == (set(), [], [])
    fresh.close()
    return len(lost)


def test_a_full_disk_loses_nothing_that_was_acknowledged(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A shop of its own each time: a terminal that was told that the disk is full does not try again at once."""
    chance, rounds, total, lost = random.Random(SEED), trials(short=4, full=100), 0, 0
    for number in range(rounds):
        folder = tmp_path / str(number) / "db"
        folder.mkdir(parents=True)
        shop = opened(f"sqlite:///{folder / 'record.sqlite'}", folder.parent)
        tag = shop.booked()
        with quota(folder, chance.randrange(10_000, 200_000)):
            acknowledged = write_until_refused(shop, tag)
        total += len(acknowledged)
        lost += after_room_was_made(shop, tag, acknowledged)
        shop.workshop.close()
    tell(capsys, "disk full (quota)", trials=rounds, acknowledged=total, lost=lost)
    assert total > 0


def test_a_disk_that_is_really_full(small_disk: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ballast = small_disk / "ballast"
    ballast.write_bytes(bytes(500_000))
    shop = opened(f"sqlite:///{small_disk / 'record.sqlite'}", tmp_path)
    tag = shop.booked()
    acknowledged = write_until_refused(shop, tag)
    ballast.unlink()
    lost = after_room_was_made(shop, tag, acknowledged)
    tell(capsys, "disk full (small disk)", trials=1, acknowledged=len(acknowledged), lost=lost)
    assert acknowledged
    shop.workshop.close()


# ---- the files of SQLite --------------------------------------------------------------------------------


class Desk:
    """A shop in one file, worked at from a terminal with a folder of its own; `acknowledged` by unit."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.path = folder / "record.sqlite"
        self.shop = opened(f"sqlite:///{self.path}", folder)
        self.shop.workshop.close()
        self.terminal = self.opened()
        self.tags = [self.terminal.book_in(self.shop.technician, PLATE).unit.tag for _ in range(4)]
        self.acknowledged: dict[str, set[UUID]] = {tag: set() for tag in self.tags}

    def opened(self) -> Workshop:
        return Workshop.open(self.shop.url, overlay=self.shop.sheets, folder=self.folder / "bench")

    def write(self, tag: str, count: int = 4) -> None:
        for _ in range(count):
            entry = self.terminal.note(tag, self.shop.technician, "oil on the heat sink" * 20).entries[-1]
            self.acknowledged[tag].add(entry.id)

    def told_or_whole(self) -> tuple[bool, int]:
        """(somebody is told, acknowledged entries that are gone). What is gone unseen fails the test."""
        try:
            there = self.opened()
        except TravellerError:
            return True, 0
        try:
            gone = 0
            for tag, written in self.acknowledged.items():
                gone += len(written - {one.id for one in there.unit(tag).entries})
            told = bool(there.verify() or there.keeping.gone_back() or there.cards_astray())
        except TravellerError:
            return True, 0
        finally:
            there.close()
        assert told or not gone, f"{gone} entries are gone and nobody is told"
        return told, gone


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def copied(desk: Desk, to: Path) -> None:
    """All files as they lie on the disk at this moment, as after a crash."""
    shutil.rmtree(to, ignore_errors=True)
    to.mkdir()
    for file in desk.folder.glob("record.sqlite*"):
        shutil.copy(file, to / file.name)


def put_back(desk: Desk, source: Path) -> None:
    for file in desk.folder.glob("record.sqlite*"):
        file.unlink()
    for file in source.iterdir():
        shutil.copy(file, desk.folder / file.name)


def test_a_file_cut_short_is_never_taken_for_whole(desk: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    for tag in desk.tags:
        desk.write(tag)
    desk.terminal.close()
    copied(desk, desk.folder / "whole")
    length, chance, rounds, told = desk.path.stat().st_size, random.Random(SEED), trials(short=12, full=300), 0
    for _ in range(rounds):
        put_back(desk, desk.folder / "whole")
        os.truncate(desk.path, chance.randrange(0, length))
        told += desk.told_or_whole()[0]
    put_back(desk, desk.folder / "whole")
    assert desk.told_or_whole() == (False, 0)
    tell(capsys, "file cut short", trials=rounds, told=told, unseen=0)
    assert told == rounds, "every cut takes at least one page of a full file"


def test_a_log_that_was_deleted_is_told(desk: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    """SQLite documentation, "Write-Ahead Logging": what is not checkpointed lies in the -wal file only."""
    chance, rounds, told, missing = random.Random(SEED), trials(short=8, full=200), 0, 0
    for _ in range(rounds):
        desk.write(chance.choice(desk.tags), chance.randrange(1, 8))
        copied(desk, desk.folder / "crashed")
        for beside in ("-wal", "-shm"):
            (desk.folder / "crashed" / f"record.sqlite{beside}").unlink(missing_ok=True)
        desk.terminal.close()
        copied(desk, desk.folder / "whole")
        put_back(desk, desk.folder / "crashed")
        seen, gone = desk.told_or_whole()
        told, missing = told + seen, missing + gone
        put_back(desk, desk.folder / "whole")
        desk.terminal = desk.opened()
    desk.terminal.close()
    tell(capsys, "log deleted", trials=rounds, told=told, entries_missing=missing, unseen=0)
    assert told > 0
    assert missing > 0


def test_an_old_backup_is_known_by_what_this_terminal_saw(desk: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    early, late, same, _ = desk.tags
    for tag in (early, late, same):
        desk.write(tag)
    with closing(sqlite3.connect(desk.path)) as source, closing(sqlite3.connect(desk.folder / "backup")) as backup:
        source.backup(backup)
    desk.write(late, 3)
    new = desk.terminal.book_in(desk.shop.technician, PLATE).unit.tag
    assert desk.terminal.keeping.gone_back() == []
    desk.terminal.close()
    (desk.folder / "old").mkdir()
    shutil.copy(desk.folder / "backup", desk.folder / "old" / "record.sqlite")
    put_back(desk, desk.folder / "old")

    there = desk.opened()
    assert (there.verify(), there.cards_astray()) == ([], []), "the old backup is sound in itself"
    told = there.keeping.gone_back()
    assert [one[:8] for one in told] == sorted([late, new])
    assert "went back in time" in told[0]
    for _ in range(3):
        there.note(late, desk.shop.technician, "another line in the same place")
    assert "two records grew apart" in there.keeping.gone_back()[0]
    there.close()
    monkeypatch.setenv("TRAVELLER_HOME", str(desk.folder / "bench"))
    monkeypatch.setenv("TRAVELLER_STATIONS", str(desk.shop.sheets))
    result = CliRunner().invoke(root, ["--database", desk.shop.url, "verify"])
    assert result.exit_code == 1
    assert f"{new}: this terminal saw line" in result.output
    result = CliRunner().invoke(root, ["--database", desk.shop.url, "verify", "--accept-restored"])
    assert (result.exit_code, "went back in time" in result.output) == (0, True)
    assert CliRunner().invoke(root, ["--database", desk.shop.url, "verify"]).exit_code == 0
