"""Points in time as text: UTC, ISO 8601, always 27 characters, so that text order is time order."""

from __future__ import annotations

from datetime import UTC, datetime


def stamp(at: datetime) -> str:
    """``2026-03-29T01:30:00.000000Z``; `at` must know its zone (ValueError otherwise)."""
    if at.tzinfo is None:
        raise ValueError("a point in time without a zone cannot be kept")
    return at.astimezone(UTC).isoformat(timespec="microseconds").replace("+00:00", "Z")


def moment(text: str) -> datetime:
    """What `stamp` wrote, in UTC."""
    return datetime.fromisoformat(text)
