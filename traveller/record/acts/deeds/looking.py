"""What somebody looked at and found, as deeds: photos, thermal pictures, joints, what the diagnosis came to.

The bytes of pictures are handed in beside the deed, which names them by their SHA-256.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import Literal

from traveller.record.acts import findings, inspection, photo, thermal
from traveller.record.acts.deeds.deed import Deed, Looked
from traveller.record.acts.rights import Proposed
from traveller.record.acts.thermal import Conditions, KeptPicture
from traveller.record.answers import Pictured
from traveller.record.finding_entries import Investigated
from traveller.record.findings import estimate_words
from traveller.record.inspection_entries import JointsSeen
from traveller.record.thermal_entries import Area


class TakingPhotos(Deed):
    ANYWHERE = True
    deed: Literal["take photos"] = "take photos"
    given: Pictured
    of: str = ""
    caption: str = ""

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return photo.take(scene.view, scene.person, self.given, self.of, self.caption)

    def says(self) -> str:
        return f"photo of {self.of or 'the unit'}: {self.caption or ', '.join(self.given.names)}"


class TakingThermalPicture(Deed):
    deed: Literal["take thermal picture"] = "take thermal picture"
    picture: str
    file: str
    scale: str
    conditions: Conditions
    areas: tuple[Area, ...]
    instruments: tuple[str, ...] = ()

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return thermal.take(
            scene.view,
            scene.person,
            KeptPicture(self.picture, self.file, self.scale),
            scene.grid(self.picture),
            self.conditions,
            self.areas,
            scene.instruments(self.instruments),
            scene.today,
        )

    def says(self) -> str:
        return f"thermal picture {self.file}: {', '.join(one.name for one in self.areas)}"


class CountingJoints(Deed):
    deed: Literal["count joints"] = "count joints"
    seen: JointsSeen

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return inspection.see(scene.view, scene.person, self.seen)

    def says(self) -> str:
        return f"{self.seen.joint_class}, {self.seen.how}: {len(self.seen.defects)} in {self.seen.opportunities}"


class Investigating(Deed):
    deed: Literal["findings"] = "findings"
    found: Investigated
    look_again: date | None = None

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return findings.investigated(scene.view, scene.person, self.found, self.look_again, scene.today)

    def says(self) -> str:
        return f"findings: {self.found.root_cause}; {estimate_words(self.found)}; {self.found.advice}"
