"""Runs of a test from a file: one line a run, as a rig or a script writes them."""

from __future__ import annotations

from pathlib import Path

from traveller.errors import InputError
from traveller.record.runs import read_runs

LARGEST_BYTES = 2_000_000


def runs_in(typed: str) -> tuple[str, list[bool]]:
    """(name of the file, for each run whether it failed) of the file at a typed path; InputError in words."""
    try:
        path = Path(typed.strip()).expanduser()
        if not path.is_file():
            raise InputError(f"{typed} is not a file: give the path of a text file.")
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except (OSError, ValueError, RuntimeError) as error:
        raise InputError(f"{typed} cannot be read ({error}): give the path of a text file.") from None
    if len(data) > LARGEST_BYTES:
        raise InputError(f"{path.name} is larger than 2 MB: one short line a run, at most 100,000 runs.")
    return path.name, read_runs(data.decode("utf-8-sig", errors="replace"))
