"""How the terminal ends when something goes wrong that nobody foresaw: in words. What it was goes to the log.

The toolkit would print every value that the program had in hand, the name of the database with its password and a
PIN just typed among them.
"""

from __future__ import annotations

import logging

from rich.segment import Segments
from rich.text import Text
from textual.app import App

from traveller.errors import TravellerError
from traveller.terminal import home


def unforeseen() -> TravellerError:
    return TravellerError(
        f"Something unforeseen happened; it is written to {home() / 'log'}. "
        "What was typed is still here: try again, and tell whoever looks after the program."
    )


class EndsInWords(App[None]):
    def _fatal_error(self) -> None:
        logging.getLogger("traveller").exception("the terminal ended")
        self.bell()
        words = Text(
            f"The terminal had to end; why is written to {home() / 'log'}. What was entered is in the record: start "
            "it again, and tell whoever looks after the program."
        )
        self._exit_renderables.append(Segments(self.console.render(words, self.console.options)))
        self._close_messages_no_wait()
