"""Clocks that the stories set, so that the entries of weeks are written in seconds, in the order of time."""

from __future__ import annotations

import heapq
import threading
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta


class Clock:
    """The time of one story. It never passes `end`."""

    def __init__(self, at: datetime, end: datetime) -> None:
        self._at = at
        self.end = end
        self.let_others: Callable[[], None] = lambda: None

    def __call__(self) -> datetime:
        return self._at

    def tick(self, seconds: float) -> None:
        """Go on by so many seconds; near the end of the story by ever smaller steps."""
        left = (self.end - self._at).total_seconds()
        self._at += timedelta(seconds=min(seconds, left / 8))
        self.let_others()

    def reach(self, at: datetime) -> None:
        """Wait until then, if it has not been yet."""
        if self._at < at <= self.end:
            self._at = at
            self.let_others()


class _Told:
    """One story in a thread of its own, which goes on only while it has the word."""

    def __init__(self, clock: Clock, tell: Callable[[], None]) -> None:
        self.clock, self.over = clock, False
        self._tell = tell
        self._error: BaseException | None = None
        self._word, self._back = threading.Semaphore(0), threading.Semaphore(0)
        clock.let_others = self._wait
        threading.Thread(target=self._live, daemon=True).start()

    def go_on(self) -> None:
        """Until the story's time has gone on, or it is over; what it raises is raised here."""
        self._word.release()
        self._back.acquire()
        if self._error:
            raise self._error

    def _wait(self) -> None:
        self._back.release()
        self._word.acquire()

    def _live(self) -> None:
        self._word.acquire()
        try:
            self._tell()
        except BaseException as error:  # whatever it is, the thread that builds the shop has to hear of it
            self._error = error
        self.over = True
        self._back.release()


Heard = Callable[[int, int, int], None]
"""Hears how many stories have begun, how many are over, and how many there are."""


def nobody_hears(_begun: int, _over: int, _of: int) -> None:
    """Where nobody waits for the workshop to be built."""


class SideBySide:
    """Stands in for the workshop's clock while many stories go on: whose time is earliest goes on next."""

    def __init__(self, at: datetime) -> None:
        self._clock = Clock(at, at)

    def __call__(self) -> datetime:
        return self._clock()

    def tell(self, stories: Sequence[tuple[Clock, Callable[[], None]]], heard: Heard = nobody_hears) -> None:
        begun: set[int] = set()
        over = 0
        told = [_Told(clock, tell) for clock, tell in stories]
        waiting = [(one.clock(), number) for number, one in enumerate(told)]
        heapq.heapify(waiting)
        while waiting:
            _, number = heapq.heappop(waiting)
            one = told[number]
            self._clock = one.clock
            one.go_on()
            if one.over or number not in begun:
                begun.add(number)
                over += one.over
                heard(len(begun), over, len(told))
            if not one.over:
                heapq.heappush(waiting, (one.clock(), number))
