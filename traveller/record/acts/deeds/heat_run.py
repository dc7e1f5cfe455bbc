"""What is written down by hand during a heat run, as deeds. Its readings count by their own time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from pydantic import AwareDatetime

from traveller.record.acts import run as acts
from traveller.record.acts.deeds.deed import Deed, Looked
from traveller.record.acts.rights import Proposed


class TakingReadings(Deed):
    """`values` by channel, in its unit."""

    deed: Literal["take readings"] = "take readings"
    values: dict[str, float]
    taken: AwareDatetime
    note: str = ""

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        usual, taken = scene.house.need_usual(), (self.values, self.taken, scene.now, self.note)
        return acts.take(scene.view, scene.person, usual, *taken)

    def says(self) -> str:
        return "; ".join(f"{name} {value:g}" for name, value in self.values.items())


class SettlingFault(Deed):
    deed: Literal["settle fault"] = "settle fault"
    fault: str
    how: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return acts.settle(scene.view, scene.person, scene.house.need_usual(), self.fault, self.how, scene.now)

    def says(self) -> str:
        return f"{self.fault} settled: {self.how}"
