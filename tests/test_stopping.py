"""Long work says what it is, and Ctrl+C ends it in a sentence with nothing half done left behind."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace

import pytest
from click.testing import CliRunner, Result

from traveller.commands.root import root
from traveller.store.workshop import Workshop


def stop(*_given: object, **_named: object) -> None:
    raise KeyboardInterrupt


@pytest.fixture(name="database")
def _database(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "home"))
    file = tmp_path / "workshop.sqlite"
    monkeypatch.setenv("TRAVELLER_DATABASE", str(file))
    return file


def run(*words: str) -> Result:
    return CliRunner().invoke(root, words)


def test_a_demo_that_is_stopped_leaves_no_half_workshop(database: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def half(workshop: Workshop, heard: object) -> None:
        del heard
        workshop.registry.found("Half", "UTC", "Somebody", "2468")
        stop()

    monkeypatch.setattr("traveller.commands.demo_shop.load_package", lambda *_: SimpleNamespace(build=half))
    done = run("demo", "--no-terminal")
    assert done.exit_code == 1
    assert "Nothing of the demo workshop is kept" in done.output
    assert not database.exists()


def test_a_backup_that_is_stopped_leaves_no_file(
    database: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert run("shop", "name", "Our workshop", "--zone", "Europe/Berlin").exit_code == 0
    monkeypatch.setattr("traveller.store.backup._settle", stop)
    done = run("backup", str(tmp_path / "kept" / "tuesday.backup"))
    assert done.exit_code == 1
    assert "was not written" in done.output
    assert list((tmp_path / "kept").iterdir()) == []
    assert database.exists()


def test_a_walk_over_the_chains_can_be_stopped(database: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Workshop, "verify", stop)
    done = run("verify")
    assert done.exit_code == 1
    assert "Stopped. Nothing was changed." in done.output
    assert database.exists()
