"""Work in the background: a thread does it, the page hears of it, and whatever goes wrong is a sentence."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import Any, TypeVar

from textual.css.query import NoMatches

from traveller.errors import TravellerError
from traveller.screens.ending import EndsInWords, unforeseen
from traveller.screens.waiting import Waiting

Result = TypeVar("Result")


class Errands(EndsInWords):
    def refuse(self, error: TravellerError) -> None:
        raise NotImplementedError

    def errand(
        self,
        job: Callable[[], Result],
        done: Callable[[Result], None],
        failed: Callable[[TravellerError], None] | None = None,
        what: str = "Working on it",
    ) -> None:
        """Run `job` in a thread; `done` or `failed` is called back here. Nothing that goes wrong ends the app.

        `what` is said where the answer is waited for, if it takes long; empty where the page says so already, or
        where nobody waits.
        """
        waiting = Waiting(self, what)

        def back(then: Callable[[Any], None], with_what: object) -> None:
            waiting.over()
            try:
                if self.screen_stack:  # there is none when the program is being left
                    then(with_what)
            except NoMatches:
                logging.getLogger("traveller").warning("the page that waited is gone", exc_info=True)
            except Exception:
                logging.getLogger("traveller").exception("unforeseen")
                self.refuse(unforeseen())

        def run() -> None:
            try:
                result = job()
            except TravellerError as error:
                self.call_from_thread(back, failed or self.refuse, error)
            except Exception:
                logging.getLogger("traveller").exception("unforeseen")
                self.call_from_thread(back, failed or self.refuse, unforeseen())
            else:
                self.call_from_thread(back, done, result)

        self.run_worker(run, thread=True, exit_on_error=False)
