"""What loads when: the terminal paints before the database loads, commands never load the terminal."""

from __future__ import annotations

import subprocess
import sys

import pytest

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


def loaded_by(code: str) -> set[str]:
    """The top-level modules that a fresh Python has loaded after the code."""
    ask = f"import sys\n{code}\nprint('|', *sorted({{name.partition('.')[0] for name in sys.modules}}))"
    told = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True).stdout
    return set(told.rpartition("|")[2].split())


def test_the_first_paint_waits_for_no_database() -> None:
    loaded = loaded_by("import traveller.screens.app")
    assert "textual" in loaded
    assert not loaded & set(LATE)


@pytest.mark.parametrize("words", ["--help", "answer --help"])
def test_the_help_of_the_commands_loads_no_terminal(words: str) -> None:
    loaded = loaded_by(
        "from traveller.commands import main\n"
        f"sys.argv = ['traveller', *'{words}'.split()]\n"
        "try:\n    main()\nexcept SystemExit:\n    pass"
    )
    assert "click" in loaded
    assert "textual" not in loaded
