"""What one terminal remembers of itself."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from traveller.errors import InputError
from traveller.terminal import Settings, database_url, load_settings, picture_meant, save_settings, stations_folder


@pytest.fixture(autouse=True)
def _own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path))
    for name in ("TRAVELLER_DATABASE", "TRAVELLER_STATIONS"):
        monkeypatch.delenv(name, raising=False)


def test_what_is_saved_is_remembered() -> None:
    save_settings(Settings(name="bench 3", station="diagnosis"))
    assert load_settings() == Settings(name="bench 3", station="diagnosis")


@pytest.mark.parametrize("content", ["", "{", "[1, 2]", '{"name": 5}', "\x00\x01"])
def test_a_spoilt_file_never_keeps_the_terminal_from_opening(tmp_path: Path, content: str) -> None:
    (tmp_path / "terminal.json").write_text(content)
    assert load_settings().name
    assert load_settings().station == ""


def test_a_terminal_that_cannot_write_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("TRAVELLER_HOME", str(tmp_path / "file"))
    with pytest.raises(InputError, match="cannot be written"):
        save_settings(Settings())


def test_the_database_is_as_named_else_from_the_environment_else_a_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert database_url() == str(tmp_path / "workshop.sqlite")
    monkeypatch.setenv("TRAVELLER_DATABASE", "postgresql://shop/one")
    assert database_url() == "postgresql://shop/one"
    assert database_url("other.sqlite") == "other.sqlite"


def test_an_own_station_folder_is_taken_when_it_is_there(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert stations_folder() is None
    (tmp_path / "stations").mkdir()
    assert stations_folder() == tmp_path / "stations"
    monkeypatch.setenv("TRAVELLER_STATIONS", str(tmp_path / "nowhere"))
    with pytest.raises(InputError, match="nowhere"):
        stations_folder()


def test_n_means_the_newest_picture(tmp_path: Path) -> None:
    folder = tmp_path / "camera"
    folder.mkdir()
    save_settings(Settings(pictures=str(folder)))
    with pytest.raises(InputError, match="no picture"):
        picture_meant("n")
    for age, name in enumerate(("new.JPG", "old.png", "newest.txt")):
        path = folder / name
        path.write_text("")
        os.utime(path, (1_700_000_000 - age, 1_700_000_000 - age))
    assert picture_meant(" N ") == str(folder / "new.JPG")
    assert picture_meant("/some/path.png") == "/some/path.png"
