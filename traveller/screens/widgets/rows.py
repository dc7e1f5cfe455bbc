"""A table of rows with a cursor. A row that is gone by the time it would be told of is not told of."""

from __future__ import annotations

from rich.text import Text
from textual.message import Message
from textual.widgets import DataTable


class Rows(DataTable[Text]):
    def post_message(self, message: Message) -> bool:
        """The table tells of the row at a place; while it is filled anew there may be none, and no key."""
        if isinstance(message, DataTable.RowHighlighted | DataTable.RowSelected) and message.row_key is None:
            return False
        return super().post_message(message)
