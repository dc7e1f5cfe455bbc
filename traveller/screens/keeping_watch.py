"""The terminal's eye on what is kept here: is the database away, what waits, what has to be decided."""

from __future__ import annotations

from typing import TYPE_CHECKING

from traveller.counting import many
from traveller.errors import TravellerError
from traveller.screens.page import Page
from traveller.screens.words import KEPT_HERE, time_words

if TYPE_CHECKING:
    from traveller.screens.app import TravellerApp

LOOK_SECONDS = 5.0


class KeepingWatch:
    """Looks every few seconds, and whenever somebody entered something, whether what waits can be shared."""

    def __init__(self, terminal: TravellerApp) -> None:
        self._terminal = terminal
        self._under_way = False

    def start(self) -> None:
        self._terminal.set_interval(LOOK_SECONDS, self.look)

    def look(self) -> None:
        if self._terminal.is_ready:
            keeping = self._terminal.workshop.keeping
            if keeping.is_away or self.words():
                self.share()

    def share(self, told: bool = False) -> None:
        """Try now; one try at a time."""
        if self._under_way:
            return
        self._under_way = True
        keeping = self._terminal.workshop.keeping
        questions = self._questions()

        def ended(done: int) -> None:
            self._under_way = False
            asked = self._questions() - questions
            words = [f"{done} that were kept here are on the record now."] if done else []
            words += [f"{asked} have to be decided by somebody: Ctrl+O."] if asked > 0 else []
            if words or told:
                away = keeping.is_away
                self._terminal.tell(" ".join(words) or (str(away) if away else "Nothing waits."), refused=asked > 0)
            if isinstance(self._terminal.screen, Page):
                self._terminal.screen.refresh_page()

        def failed(error: Exception) -> None:
            self._under_way = False
            self._terminal.tell(str(error), refused=True)

        self._terminal.errand(keeping.deliver, ended, failed)

    def _questions(self) -> int:
        try:
            return len(self._terminal.workshop.keeping.questions())
        except TravellerError:
            return 0

    def words(self) -> str:
        """For the first line of every page; empty while all is well."""
        if not self._terminal.is_ready:
            return ""
        keeping = self._terminal.workshop.keeping
        try:
            waiting, questions = len(keeping.waiting()), len(keeping.questions())
        except TravellerError as error:
            return f"! {error}"
        parts = []
        if keeping.is_away:
            zone = self._terminal.shop.zone if self._terminal.shop else "UTC"
            parts.append(f"! database away since {time_words(keeping.reached_at, zone, with_day=False)}")
        if waiting:
            parts.append(f"{KEPT_HERE}: {waiting}")
        if questions:
            parts.append(f"? to decide: {questions}, Ctrl+O")
        if keeping.damaged:
            parts.append(f"! {many(keeping.damaged, 'damaged line')} in damaged.jsonl")
        return " · ".join(parts)
