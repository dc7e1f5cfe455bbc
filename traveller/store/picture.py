"""Photos of a unit, kept once under the SHA-256 of their bytes."""

from __future__ import annotations

import hashlib
from pathlib import Path
from stat import S_ISREG

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


def read_picture(typed: str) -> tuple[str, bytes]:
    """(name, bytes) of the file at a typed path; InputError unless it is a plain file of at most 25 MB."""
    try:
        path = Path(typed).expanduser()
        found = path.stat()
        if not S_ISREG(found.st_mode):
            raise InputError(f"{typed} is not a file: give the path of a picture file.")
        _need_size(path.name, found.st_size)
        return path.name, path.read_bytes()
    except (OSError, RuntimeError) as error:
        what = getattr(error, "strerror", None) or error
        raise InputError(f"{typed}: {what}. Give the path of a picture file.") from None


def _need_size(name: str, size: int) -> None:
    if size > LARGEST_BYTES:
        raise InputError(f"{name} has {size / 1024**2:.1f} MB and 25 MB is the most: take it at a lower resolution.")


def keep_picture(connection: Connection, name: str, data: bytes) -> str:
    """Keep a picture and return its SHA-256; InputError unless it is PNG, JPEG or TIFF of at most 25 MB."""
    _need_size(name, len(data))
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
