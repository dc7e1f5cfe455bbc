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
from textual._context import active_message_pump
from textual.app import App
from textual.dom import NoScreen
from textual.message_pump import MessagePump
from textual.screen import Screen
from textual.widget import Widget
from textual.worker import WorkerFailed, get_current_worker

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

    def _handle_exception(self, error: Exception) -> None:
        """What goes wrong on a page that was left before it was made, or in work for one (the toolkit's own search
        of commands, above all), is of no use to anybody: it goes to the log and does not end the terminal."""
        worker = isinstance(error, WorkerFailed)
        if self._was_left(get_current_worker().node if worker else active_message_pump.get(None)):
            logging.getLogger("traveller").warning("on a page that was left", exc_info=error)
            return
        super()._handle_exception(error)

    def _was_left(self, where: MessagePump | None) -> bool:
        """A page that is on its way out, as all are while the program is being left, has lost its children."""
        if not isinstance(where, Widget):
            return False
        if where._closing or where._pruning or (isinstance(where, Screen) and not where.children):
            return True
        try:
            return where.screen not in self.screen_stack
        except NoScreen:
            return True

    def _fatal_error(self) -> None:
        logging.getLogger("traveller").exception("the terminal ended")
        self.bell()
        words = Text(
            f"The terminal had to end; why is written to {home() / 'log'}. What was entered is in the record: start "
            "it again, and tell whoever looks after the program."
        )
        self._exit_renderables.append(Segments(self.console.render(words, self.console.options)))
        self._close_messages_no_wait()
