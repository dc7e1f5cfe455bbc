"""The toolkit's list of commands (Ctrl+P), which may be opened and paged at any moment."""

from __future__ import annotations

from contextlib import suppress

from textual.command import CommandPalette


class Palette(CommandPalette):
    def _action_command_list(self, action: str) -> None:
        """The toolkit cannot page a list whose lines it has not counted yet; there is nothing to page then."""
        with suppress(KeyError):
            super()._action_command_list(action)
