"""A line to type in that is only painted again with each key."""

from __future__ import annotations

from textual.geometry import Size
from textual.reactive import Reactive
from textual.widgets import Input


class TypedLine(Input):
    """The stock line has the whole screen laid out anew as its text grows, though it takes no more room for it."""

    virtual_size = Reactive(Size(0, 0))
