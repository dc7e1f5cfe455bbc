"""What this terminal saw last: it is shown, with its time, while the database is away."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from time import monotonic
from typing import Any, TypeVar, cast

from traveller.errors import Away

Seen = TypeVar("Seen")

MOST = 200
"""So many looks are remembered: each unit, queue and brief is one."""
PAUSE_SECONDS = 3.0
"""How long a database that was away is not asked again by everybody who wants to look at something."""


class Lately:
    """Only what was read or written in a transaction that ended well is in it."""

    def __init__(self, clock: Callable[[], datetime]) -> None:
        self._clock = clock
        self._seen: dict[str, Any] = {}
        self._rest_until = 0.0
        self.away: Away | None = None
        """Why the database is away; None while it answers."""
        self.reached_at: datetime | None = None

    def ask(self, name: str, job: Callable[[], Seen]) -> Seen:
        """What `job` reads; what it read last while the database is away; Away when that is not known."""
        if self.resting and (seen := self.known(name)) is not None:
            return cast(Seen, seen)
        try:
            return self.saw(name, job())
        except Away as error:
            self.is_away(error)
            if (seen := self.known(name)) is None:
                raise
            return cast(Seen, seen)

    def saw(self, name: str, what: Seen) -> Seen:
        self.is_back()
        self._seen.pop(name, None)
        self._seen[name] = what
        for oldest in list(self._seen)[:-MOST]:
            self._seen.pop(oldest, None)
        return what

    def is_away(self, error: Away) -> None:
        self.away, self._rest_until = error, monotonic() + PAUSE_SECONDS

    def is_back(self) -> None:
        self.away, self._rest_until, self.reached_at = None, 0.0, self._clock()

    @property
    def resting(self) -> bool:
        return self.away is not None and monotonic() < self._rest_until

    def known(self, name: str) -> Any:
        """What was seen last under this name; None when nothing was."""
        return self._seen.get(name)
