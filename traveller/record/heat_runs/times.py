"""Points in time and spans as people and loggers write them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, tzinfo

from traveller.errors import InputError
from traveller.quantities import read_quantity
from traveller.record.shifts import zone_of

zone_named = zone_of


def read_moment(text: str, zone: tzinfo, now: datetime) -> datetime:
    """``14:30`` (today), ``2026-12-01 14:30`` or ISO 8601 with its own zone, in UTC. Without a zone it is the
    shop's. InputError for anything else, and for an hour that the change to summer time left out.
    """
    said = text.strip()
    if not said or said.casefold() == "now":
        return now.astimezone(UTC)
    dated = f"{now.astimezone(zone):%Y-%m-%d} {said}" if len(said) <= 5 and ":" in said else said
    try:
        found = datetime.fromisoformat(dated)
    except ValueError:
        raise InputError(
            f'"{text}" is not a time: write 14:30 for today, 2026-12-01 14:30, or 2026-12-01T14:30+01:00.'
        ) from None
    if found.tzinfo is None:
        found = found.replace(tzinfo=zone)
        if found.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != found.replace(tzinfo=None):
            raise InputError(f"{dated} was left out by the change to summer time: write another hour.")
    return found.astimezone(UTC)


def read_span(text: str) -> timedelta:
    """``90 min``, ``2 h``, ``1:30``; a bare number is minutes."""
    return timedelta(minutes=read_quantity(text, "min").value)


def span_words(minutes: float) -> str:
    """``24 min``, ``1 h 05 min``; less than a minute in seconds."""
    if 0 < minutes < 1:
        return f"{minutes * 60:.0f} s"
    whole = round(minutes)
    return f"{whole} min" if whole < 60 else f"{whole // 60} h {whole % 60:02d} min"
