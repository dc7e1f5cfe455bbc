"""The sheet of a note: what is done, what is next, what to watch, for whom. One filled line is enough."""

from __future__ import annotations

from typing import TYPE_CHECKING

from traveller.screens.sheet_of_fields import Line, Values

if TYPE_CHECKING:
    from traveller.record.view import UnitView
    from traveller.store.workshop import Workshop


def note_lines(about: str = "note") -> list[Line]:
    return [
        Line("text", about, "one line that says it", optional=True),
        Line("done", "what is done", optional=True),
        Line("next", "what is next", "stands in the brief of whoever comes next", optional=True),
        Line("watch", "what to watch", "stands in the brief of whoever comes next", optional=True),
        Line("whom", "who must see it", "crews, badges or stations; empty is everybody", optional=True),
    ]


def take_note(shop: Workshop, tag: str, by: str, v: Values) -> UnitView:
    from traveller.record.notices import read_whom

    return shop.note(tag, by, v["text"], v["done"], v["next"], v["watch"], read_whom(v["whom"]))
