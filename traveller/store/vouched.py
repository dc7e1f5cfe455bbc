"""Whether the record is sound: the chain of a subject, and what its entries vouch for beside themselves.

The samples of runs and the pictures do not stand in the entries, only their SHA-256 does: here the bytes that are
kept are laid against it.
"""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Connection

from traveller.record.answers import Pictured
from traveller.record.entries import Answered, Body
from traveller.record.photo_entries import PhotoTaken
from traveller.record.run_entries import SamplesKept
from traveller.record.thermal_entries import ThermalTaken
from traveller.store import chunks, journal
from traveller.store.digests import GONE, wrong_with
from traveller.store.journal import Break
from traveller.store.picture import picture

VOUCHING = ("samples kept", "thermal picture", "photo taken", "answered")


def verify(connection: Connection, subject: str) -> list[Break]:
    """The first line of the chain that does not fit; when all do, every chunk and picture that is not what the
    entries say, or is gone. Empty when all is sound."""
    if broken := journal.verify(connection, subject):
        return [broken]
    return list(_not_as_said(connection, subject))


def _not_as_said(connection: Connection, subject: str) -> Iterator[Break]:
    seen: set[str] = set()
    for entry in journal.read_kinds(connection, subject, *VOUCHING):
        body = entry.body
        if isinstance(body, SamplesKept) and (wrong := wrong_with(chunks.kept(connection, body), body.sha256)):
            yield Break(subject, entry.sequence, f"Chunk {body.number} of the samples {wrong}.", wrong == GONE)
        for sha256 in pictures_of(body) - seen:
            seen.add(sha256)
            found = picture(connection, sha256)
            if wrong := wrong_with(found[1] if found else None, sha256):
                yield Break(subject, entry.sequence, f"The picture {sha256[:12]} {wrong}.", wrong == GONE)


def pictures_of(body: Body) -> set[str]:
    """The SHA-256 of every picture that an entry vouches for."""
    match body:
        case PhotoTaken(pictures=pictures) | Answered(answer=Pictured(pictures=pictures)):
            return set(pictures)
        case ThermalTaken(picture=one):
            return {one}
    return set()
