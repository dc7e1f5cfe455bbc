"""How the terminal ends. What was counted goes in first, whoever ends it: a key, a closed page, a broken line.

When something goes wrong that nobody foresaw it ends in words; what it was goes to the log. The toolkit would print
every value that the program had in hand, the name of the database with its password and a PIN just typed among them.
"""

from __future__ import annotations

import asyncio
import logging
import signal
from contextlib import suppress

from rich.segment import Segments
from rich.text import Text
from textual import messages
from textual.app import App

from traveller.errors import TravellerError
from traveller.terminal import home

LONGEST_FAREWELL = 5.0


def unforeseen() -> TravellerError:
    return TravellerError(
        f"Something unforeseen happened; it is written to {home() / 'log'}. "
        "What was typed is still here: try again, and tell whoever looks after the program."
    )


class EndsInWords(App[None]):
    def keep_typed(self) -> None:
        raise NotImplementedError

    def heed_hangup(self) -> None:
        """A line that breaks (ssh, a closed window) ends the program as its key does; the system would kill it."""
        if hangup := getattr(signal, "SIGHUP", None):
            with suppress(ValueError, NotImplementedError, RuntimeError):
                asyncio.get_running_loop().add_signal_handler(hangup, self.post_message, messages.ExitApp())

    async def action_quit(self) -> None:
        await self._farewell()
        await super().action_quit()

    async def on_exit_app(self) -> None:
        """The page in the browser was closed, or the line broke."""
        await self._farewell()

    async def _farewell(self) -> None:
        """What was counted and not entered yet goes in first, if the database takes it within a few seconds."""
        if self.screen_stack:
            self.keep_typed()
        with suppress(TimeoutError):
            await asyncio.wait_for(self._errands_done(), LONGEST_FAREWELL)

    async def _errands_done(self) -> None:
        while any(not worker.is_finished for worker in self.workers):
            await asyncio.sleep(0.02)

    def _fatal_error(self) -> None:
        logging.getLogger("traveller").exception("the terminal ended")
        self.bell()
        words = Text(
            f"The terminal had to end; why is written to {home() / 'log'}. What was entered is in the record: start "
            "it again, and tell whoever looks after the program."
        )
        self._exit_renderables.append(Segments(self.console.render(words, self.console.options)))
        self._close_messages_no_wait()
