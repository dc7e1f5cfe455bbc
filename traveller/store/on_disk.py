"""Writing to the disk of this terminal: what is written is there when the call returns, through a power cut too."""

from __future__ import annotations

import os
from pathlib import Path


def append(file: Path, text: bytes) -> None:
    """One line more, on the disk when this returns. A line that a power cut left without its end is ended first."""
    fresh = not file.exists()
    with os.fdopen(os.open(file, os.O_RDWR | os.O_CREAT, 0o600), "r+b") as opened:
        end = opened.seek(0, os.SEEK_END)
        torn = end > 0 and _byte_at(opened.fileno(), end - 1) != b"\n"
        opened.seek(0, os.SEEK_END)
        opened.write((b"\n" if torn else b"") + text + b"\n")
        opened.flush()
        os.fsync(opened.fileno())
    if fresh:
        sync_folder(file.parent)


def _byte_at(descriptor: int, place: int) -> bytes:
    os.lseek(descriptor, place, os.SEEK_SET)
    return os.read(descriptor, 1)


def replace(file: Path, content: bytes) -> None:
    """The file whole, or as it was before."""
    beside = file.with_name(f"{file.name}.new")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "wb") as opened:
        opened.write(content)
        opened.flush()
        os.fsync(opened.fileno())
    beside.replace(file)
    sync_folder(file.parent)


def sync_folder(folder: Path) -> None:
    """So that the name of a new file is on the disk too; only where a folder can be opened."""
    if os.name == "posix":
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)
