"""Runs of a test from a file: one line a run, as a rig or a script writes them."""

from __future__ import annotations

from traveller.record.runs import read_runs
from traveller.typed_file import typed_file

LARGEST_BYTES = 2_000_000


def runs_in(typed: str) -> tuple[str, list[bool]]:
    """(name of the file, for each run whether it failed) of the file at a typed path; InputError in words."""
    name, data = typed_file(typed, LARGEST_BYTES, "a text file with one short line a run")
    return name, read_runs(data.decode("utf-8-sig", errors="replace"))
