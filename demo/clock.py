"""A clock that the story sets, so that entries of thirty hours are written in seconds."""

from __future__ import annotations

from datetime import datetime, timedelta


class Clock:
    """Stands in for the workshop's clock while the shop is built. It never passes `end`."""

    def __init__(self, at: datetime) -> None:
        self._at = at
        self.end = at

    def __call__(self) -> datetime:
        return self._at

    def start(self, at: datetime, end: datetime) -> None:
        """Another unit's time begins."""
        self._at, self.end = at, end

    def tick(self, seconds: float) -> None:
        """Go on by so many seconds; near the end of the unit's time by ever smaller steps."""
        left = (self.end - self._at).total_seconds()
        self._at += timedelta(seconds=min(seconds, left / 8))

    def reach(self, at: datetime) -> None:
        """Wait until then, if it has not been yet."""
        if self._at < at <= self.end:
            self._at = at
