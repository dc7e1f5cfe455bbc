"""What goes into a paper besides the facts, and what comes out: codes and pictures in, a file out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from traveller.documents.drawn import Modules
from traveller.documents.page import Sheet
from traveller.record.thermal import Grid


@dataclass(frozen=True)
class Enclosed:
    """What is not in the facts themselves: the codes, and pictures by their SHA-256; a lost one is absent."""

    tag_code: Modules
    seal_code: Modules | None = None
    facts_digest: str = ""
    photos: Mapping[str, bytes] = field(default_factory=dict)
    grids: Mapping[str, Grid] = field(default_factory=dict)


@dataclass(frozen=True)
class Paperwork:
    """A finished paper (PDF, or PNG of a label); `missing` names in words each character that could not be printed."""

    data: bytes
    missing: tuple[str, ...]


def worded(table: str, word: str, sheet: Sheet) -> str:
    """A word of the record, such as ``matched set``, in the language of the paper."""
    return sheet.words(f"{table}.{word.replace(' ', '_')}")
