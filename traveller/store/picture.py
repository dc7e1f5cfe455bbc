"""Photos of a unit, kept once under the SHA-256 of their bytes."""

from __future__ import annotations

import hashlib

from sqlalchemy import Connection, select

from traveller.errors import InputError
from traveller.store.tables import picture as table
from traveller.store.upserts import insert_if_missing

LARGEST_BYTES = 25 * 1024 * 1024
BEGINNINGS = {
    b"\x89PNG\r\n\x1a\n": "image/png",
    b"\xff\xd8\xff": "image/jpeg",
    b"II*\x00": "image/tiff",
    b"MM\x00*": "image/tiff",
}
"""First bytes of a file: PNG (ISO/IEC 15948), JPEG (ISO/IEC 10918-1), TIFF 6.0 in either byte order."""


def keep_picture(connection: Connection, name: str, data: bytes) -> str:
    """Keep a picture and return its SHA-256; InputError unless it is PNG, JPEG or TIFF of at most 25 MB."""
    if len(data) > LARGEST_BYTES:
        raise InputError(
            f"{name} has {len(data) / 1024**2:.1f} MB and 25 MB is the most: take it at a lower resolution."
        )
    media_type = next((kind for start, kind in BEGINNINGS.items() if data.startswith(start)), None)
    if media_type is None:
        raise InputError(f"{name} is not a PNG, JPEG or TIFF picture: save it as one of these.")
    sha256 = hashlib.sha256(data).hexdigest()
    row = {"sha256": sha256, "name": name, "media_type": media_type, "bytes": data, "size": len(data)}
    insert_if_missing(connection, table, ["sha256"], row)
    return sha256


def picture(connection: Connection, sha256: str) -> tuple[str, bytes] | None:
    """(name, bytes) of the picture, None when it was never kept."""
    row = connection.execute(select(table.c.name, table.c.bytes).where(table.c.sha256 == sha256)).first()
    return (row.name, bytes(row.bytes)) if row else None
