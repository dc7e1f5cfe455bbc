"""What can go wrong, each as a sentence that a person at a bench can read and act on.

Every error of this project says what was wrong and what to do. The exit status is the one that the
commands return (0 done, 1 refused by a rule, 2 wrong usage, 3 database not reachable).
"""

from __future__ import annotations

from traveller.inert import inert


class TravellerError(Exception):
    """Base of everything this project raises on purpose; ``str(error)`` is shown to the user."""

    exit_status = 1

    def __init__(self, *said: str) -> None:
        super().__init__(*(inert(str(one)) for one in said))


class InputError(TravellerError):
    """Something that was typed, scanned or imported cannot be used as it is."""

    exit_status = 2


class SheetError(InputError):
    """A station folder has a mistake; the message names file, check and what to change."""


class Refused(TravellerError):
    """A rule of the workshop says no. ``reasons`` holds one sentence per rule."""

    def __init__(self, *reasons: str) -> None:
        super().__init__("\n".join(reasons))
        self.reasons: tuple[str, ...] = tuple(inert(one) for one in reasons)


class Overtaken(Refused):
    """Somebody else wrote in the meantime; the person decides with both versions in view."""


class NotReachable(TravellerError):
    """The database cannot be reached, is full, or is of another version."""

    exit_status = 3


class Away(NotReachable):
    """The database cannot be reached for the moment; what was typed can wait at this terminal."""
