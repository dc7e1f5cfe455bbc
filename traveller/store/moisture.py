"""The bags of moisture-sensitive parts and their clocks."""

from __future__ import annotations

from traveller.record.acts.deeds.working import Baking, ClosingBag, OpeningBag
from traveller.record.moisture import ClockLine, clocks
from traveller.record.view import UnitView
from traveller.store.desk import Desk
from traveller.store.keeping import Keeping


class Bags:
    def __init__(self, desk: Desk, keeping: Keeping) -> None:
        self._desk = desk
        self._keeping = keeping

    def open(
        self, tag: str, references: str, msl: str, by: str, body: str = "", out: str = "", label: str = ""
    ) -> UnitView:
        """The bag of these parts is open from now on; numbers as typed (see the act)."""
        opening = OpeningBag(references=references, msl=msl, body=body, out=out, label=label)
        return self._keeping.do(tag, by, opening)

    def close(self, tag: str, references: str, by: str) -> UnitView:
        return self._keeping.do(tag, by, ClosingBag(references=references))

    def bake(self, tag: str, references: str, hours: str, by: str, oven: str = "125", body: str = "") -> UnitView:
        return self._keeping.do(tag, by, Baking(references=references, hours=hours, oven=oven, body=body))

    def clocks(self, view: UnitView) -> list[ClockLine]:
        """The clocks of a unit's parts as they stand now, what runs out first first."""
        return clocks(view.unit, self._desk.clock())
