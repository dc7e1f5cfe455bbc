"""What loads when: the terminal paints before the database loads and asks for the badge before the workshop does;
commands never load the terminal."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from traveller.store.workshop import Workshop

LATE = (
    "aiohttp",
    "jinja2",
    "textual_serve",
    "sqlalchemy",
    "alembic",
    "scipy",
    "numpy",
    "PIL",
    "qrcode",
    "psycopg",
    "argon2",
)


def modules_loaded_by(code: str) -> set[str]:
    """The modules that a fresh Python has loaded after the code."""
    ask = f"import sys\n{code}\nprint('|', *sys.modules)"
    told = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True).stdout
    return set(told.rpartition("|")[2].split())


def loaded_by(code: str) -> set[str]:
    """The same, top-level modules only."""
    return {name.partition(".")[0] for name in modules_loaded_by(code)}


def test_the_first_paint_waits_for_no_database() -> None:
    loaded = loaded_by("import traveller.screens.app")
    assert "textual" in loaded
    assert not loaded & set(LATE)


def test_the_badge_is_asked_for_before_the_workshop_loads(tmp_path: Path) -> None:
    url = f"sqlite:///{tmp_path / 'shop.sqlite'}"
    Workshop.open(url).close()
    loaded = modules_loaded_by(f"from traveller.store.door import Door\nDoor.open({url!r}).close()")
    assert "traveller.record.roll" in loaded
    late = {"stationbook", "store.workshop", "store.journal", "record.entries", "record.acts", "record.shop"}
    assert not loaded & {f"traveller.{name}" for name in late}


@pytest.mark.parametrize("words", ["--help", "answer --help"])
def test_the_help_of_the_commands_loads_no_terminal(words: str) -> None:
    loaded = loaded_by(
        "from traveller.commands import main\n"
        f"sys.argv = ['traveller', *'{words}'.split()]\n"
        "try:\n    main()\nexcept SystemExit:\n    pass"
    )
    assert "click" in loaded
    assert "textual" not in loaded
