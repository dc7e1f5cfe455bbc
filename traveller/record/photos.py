"""The photos of a unit: those taken for themselves, and those that answer a check."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING
from uuid import UUID

from traveller.record.answers import Pictured
from traveller.record.entries import Entry
from traveller.record.photo_entries import PhotoTaken

if TYPE_CHECKING:
    from traveller.record.unit import Unit


@dataclass(frozen=True)
class Photo:
    """One kept picture; `of` is a check's full key, a work line's reference, or empty for the unit."""

    entry: UUID
    of: str
    sha256: str
    original: str
    name: str
    caption: str
    by: str
    at: datetime


Photos = tuple[Photo, ...]


def with_entry(photos: Photos, entry: Entry, body: PhotoTaken) -> Photos:
    pictures = _each(entry.id, body.of, body, body.caption, entry.by, entry.at)
    return (*photos, *pictures)


def without(photos: Photos, withdrawn: UUID) -> Photos:
    return tuple(one for one in photos if one.entry != withdrawn)


def all_photos(unit: Unit) -> list[Photo]:
    """All of a unit, oldest first; an answer that was corrected or withdrawn shows nothing any more."""
    answered = [
        photo
        for history in unit.answers.values()
        for one in history
        if isinstance(one.answer, Pictured) and one.entry not in unit.corrected
        for photo in _each(one.entry, one.check, one.answer, "", one.by, one.at)
    ]
    return sorted((*unit.photos, *answered), key=lambda one: (one.at, one.entry))


def _each(entry: UUID, of: str, given: PhotoTaken | Pictured, caption: str, by: str, at: datetime) -> Iterator[Photo]:
    for number, sha256 in enumerate(given.pictures):
        name, original = _at(given.names, number), _at(given.originals, number)
        yield Photo(entry, of, sha256, original, name, caption, by, at)


def _at(words: Sequence[str], number: int) -> str:
    return words[number] if number < len(words) else ""
