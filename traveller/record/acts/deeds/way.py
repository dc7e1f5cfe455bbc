"""Where a unit lies, whether it waits, and how it was packed, as deeds."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Literal

from traveller.record.acts import carriage, route
from traveller.record.acts.deeds.deed import Deed, Looked
from traveller.record.acts.rights import Proposed
from traveller.record.carriage_entries import Packed


class Holding(Deed):
    deed: Literal["hold"] = "hold"
    reason: str
    look_again: date

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return route.hold(scene.view, scene.person, self.reason, self.look_again, scene.today)

    def says(self) -> str:
        return f"hold: {self.reason}, look again {self.look_again}"


class Resuming(Deed):
    deed: Literal["resume"] = "resume"
    note: str = ""

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return route.resume(scene.view, scene.person, self.note)

    def says(self) -> str:
        return f"resume: {self.note}" if self.note else "resume"


class Placing(Deed):
    deed: Literal["place"] = "place"
    place: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return route.place(scene.view, scene.person, self.place, scene.shop)

    def says(self) -> str:
        return f"put on {self.place}"


class Packing(Deed):
    deed: Literal["pack"] = "pack"
    packed: Packed
    instruments: tuple[str, ...] = ()

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        used = scene.instruments(self.instruments)
        return carriage.pack(scene.view, scene.person, self.packed, used, scene.today)

    def says(self) -> str:
        return f"packed for {self.packed.carrier} {self.packed.consignment}"
