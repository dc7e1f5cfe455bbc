"""The terminal behind a browser: it ends with the front that serves it, however that ended."""

from __future__ import annotations

from textual import messages
from textual.drivers.web_driver import WebDriver


class ServedDriver(WebDriver):
    """Textual's own goes on for ever when the front is killed: nobody would ever see or end it again."""

    def run_input_thread(self) -> None:
        super().run_input_thread()
        self._app.post_message(messages.ExitApp())
