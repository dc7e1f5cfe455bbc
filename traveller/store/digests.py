"""Bytes that are kept beside the entries, laid against the SHA-256 that an entry says."""

from __future__ import annotations

import hashlib

GONE = "is not in the database"
CHANGED = "was changed after it was kept: its digest does not fit its content"


def wrong_with(data: bytes | None, sha256: str) -> str:
    """`GONE`, `CHANGED` (ends of a sentence), or empty when the bytes are those that were kept."""
    if data is None:
        return GONE
    return "" if hashlib.sha256(data).hexdigest() == sha256 else CHANGED
