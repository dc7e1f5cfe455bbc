"""The bags of moisture-sensitive parts and their clocks."""

from __future__ import annotations

from traveller.record.acts import moisture
from traveller.record.moisture import ClockLine, clocks
from traveller.record.view import UnitView
from traveller.store.desk import Desk


class Bags:
    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def open(
        self, tag: str, references: str, msl: str, by: str, body: str = "", out: str = "", label: str = ""
    ) -> UnitView:
        """The bag of these parts is open from now on; numbers as typed (see the act)."""
        return self._desk.act(
            tag,
            by,
            lambda s: moisture.open_bag(s.view, s.person, references, msl, self._desk.clock(), body, out, label),
        )

    def close(self, tag: str, references: str, by: str) -> UnitView:
        return self._desk.act(tag, by, lambda s: moisture.close_bag(s.view, s.person, references))

    def bake(self, tag: str, references: str, hours: str, by: str, oven: str = "125", body: str = "") -> UnitView:
        return self._desk.act(
            tag,
            by,
            lambda s: moisture.bake(s.view, s.person, references, hours, oven, self._desk.clock(), body),
        )

    def clocks(self, view: UnitView) -> list[ClockLine]:
        """The clocks of a unit's parts as they stand now, what runs out first first."""
        return clocks(view.unit, self._desk.clock())
