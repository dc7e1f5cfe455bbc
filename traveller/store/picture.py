"""Photos of a unit, kept once under the SHA-256 of their bytes."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from sqlalchemy import Connection, select

from traveller.errors import InputError, Refused
from traveller.pictures.grid import unpacked
from traveller.record.acts.afterwards import Enclosed
from traveller.record.thermal import Grid
from traveller.store.tables import picture as table
from traveller.store.upserts import insert_if_missing
from traveller.typed_file import typed_file

if TYPE_CHECKING:
    from traveller.pictures.photo import Photo

LARGEST_FILE = 250_000_000
"""Bytes: a 60-megapixel TIFF without compression has 180 MB."""
PICTURE = "a picture file"


def read_photos(typed: str) -> list[Photo]:
    """The photos in the files of a typed line, their paths with ; between them.

    InputError unless each is a plain file that holds a photo; then none is returned.
    """
    from traveller.pictures.photo import checked_photo

    paths = [one for one in typed.split(";") if one.strip()]
    if not paths:
        raise InputError("No picture was named: give the path of a picture file.")
    return [checked_photo(*typed_file(path, LARGEST_FILE, PICTURE)) for path in paths]


@dataclass(frozen=True)
class PictureFile:
    """A picture that was checked before and is handed in beside a deed."""

    name: str
    data: bytes
    media_type: str = "image/png"

    @cached_property
    def enclosed(self) -> Enclosed:
        return Enclosed(sha256=hashlib.sha256(self.data).hexdigest(), name=self.name, media_type=self.media_type)


def keep_picture(connection: Connection, enclosed: Enclosed, data: bytes) -> None:
    row = {**enclosed.model_dump(), "bytes": data, "size": len(data)}
    insert_if_missing(connection, table, ["sha256"], row)


def picture(connection: Connection, sha256: str) -> tuple[str, bytes] | None:
    """(name, bytes) of the picture, None when it was never kept."""
    row = connection.execute(select(table.c.name, table.c.bytes).where(table.c.sha256 == sha256)).first()
    return (row.name, bytes(row.bytes)) if row else None


def need_grid(connection: Connection, sha256: str) -> Grid:
    """The temperatures of a kept thermal picture."""
    found = picture(connection, sha256)
    return unpacked(need_thermal(found[1] if found else None))


def need_thermal(data: bytes | None) -> bytes:
    if data is None:
        raise Refused("The thermal picture is not in the database: was it restored without its pictures?")
    return data
