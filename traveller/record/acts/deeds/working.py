"""The work list, the parts list and the bags of parts, as deeds."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from pydantic import Field

from traveller.record.acts import fitting, moisture, parts, work
from traveller.record.acts.deeds.deed import Deed, Looked
from traveller.record.acts.rights import Proposed
from traveller.record.parts_entries import Part
from traveller.record.work_entries import WorkReason


class Planning(Deed):
    deed: Literal["plan work"] = "plan work"
    references: tuple[str, ...]
    part: str
    reason: WorkReason
    matched_set: str = ""
    siblings: tuple[str, ...] = ()

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return work.plan(
            scene.view, scene.person, self.references, self.part, self.reason, self.matched_set, self.siblings
        )

    def says(self) -> str:
        return f"plan {', '.join(self.references)}: {self.part}"


class Fitting(Deed):
    deed: Literal["fit"] = "fit"
    reference: str
    fitted: str
    lot: str = ""
    offered: dict[str, str] = Field(default_factory=dict)
    anyway: str = ""

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        part = (self.reference, self.fitted, self.lot)
        return fitting.fit(scene.view, scene.person, *part, scene.now, self.offered, self.anyway)

    def says(self) -> str:
        return f"{self.reference} fitted: {self.fitted}"


class Verifying(Deed):
    deed: Literal["verify"] = "verify"
    reference: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return work.verify(scene.view, scene.person, self.reference)

    def says(self) -> str:
        return f"{self.reference} verified"


class Rejecting(Deed):
    deed: Literal["reject"] = "reject"
    reference: str
    why: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return work.reject(scene.view, scene.person, self.reference, self.why)

    def says(self) -> str:
        return f"{self.reference} not right: {self.why}"


class Striking(Deed):
    deed: Literal["strike"] = "strike"
    reference: str
    why: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return work.strike(scene.view, scene.person, self.reference, self.why)

    def says(self) -> str:
        return f"{self.reference} struck: {self.why}"


class WorkingOut(Deed):
    """The work list from the parts list, by the policy as it is when it comes onto the record."""

    deed: Literal["work out"] = "work out"
    failed: tuple[str, ...] = ()

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return parts.work_out(scene.view, scene.person, scene.house.policy, self.failed)

    def says(self) -> str:
        failed = f", failed {', '.join(self.failed)}" if self.failed else ""
        return f"work list worked out{failed}"


# ---- the parts list -------------------------------------------------------------------------------------


class ListingParts(Deed):
    deed: Literal["list parts"] = "list parts"
    parts: tuple[Part, ...]
    origin: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return parts.list_parts(scene.view, scene.person, self.parts, self.origin)

    def says(self) -> str:
        return f"parts list from {self.origin}: {len(self.parts)} parts"


class AddingParts(Deed):
    """`part` without its place; there is one like it at each of `references`."""

    deed: Literal["add parts"] = "add parts"
    references: str
    part: Part

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return parts.add(scene.view, scene.person, self.references, self.part)

    def says(self) -> str:
        return f"parts {self.references}: {self.part.label}"


# ---- bags -----------------------------------------------------------------------------------------------


class OpeningBag(Deed):
    """The clock runs from when it was done, not from when it was shared."""

    deed: Literal["open bag"] = "open bag"
    references: str
    msl: str
    body: str = ""
    out: str = ""
    label: str = ""

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        figures = (self.body, self.out, self.label)
        return moisture.open_bag(scene.view, scene.person, self.references, self.msl, scene.now, *figures)

    def says(self) -> str:
        return f"bag of {self.references} opened, level {self.msl}"


class ClosingBag(Deed):
    deed: Literal["close bag"] = "close bag"
    references: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return moisture.close_bag(scene.view, scene.person, self.references)

    def says(self) -> str:
        return f"{self.references} stored dry"


class Baking(Deed):
    deed: Literal["bake"] = "bake"
    references: str
    hours: str
    oven: str
    body: str = ""

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        oven = (self.hours, self.oven, scene.now, self.body)
        return moisture.bake(scene.view, scene.person, self.references, *oven)

    def says(self) -> str:
        return f"{self.references} baked {self.hours} h at {self.oven} °C"
