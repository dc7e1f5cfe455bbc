"""How often something is tried: a few times in CI, many times with ``TRAVELLER_TRIALS=full``."""

from __future__ import annotations

import os

import pytest

FULL = os.environ.get("TRAVELLER_TRIALS", "") == "full"


def trials(short: int, full: int) -> int:
    return full if FULL else short


def tell(capsys: pytest.CaptureFixture[str], what: str, **figures: int) -> None:
    """Print the figures of a test, whatever pytest does with other output."""
    with capsys.disabled():
        print(f"\n{what}: " + ", ".join(f"{name.replace('_', ' ')} {count}" for name, count in figures.items()))
