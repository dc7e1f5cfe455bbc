"""What is measured while a fault is looked for, as deeds: siblings, signature traces, runs that are counted."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from pydantic import AwareDatetime

from traveller.record.acts import runs as counting
from traveller.record.acts import siblings as comparing
from traveller.record.acts import traces as tracing
from traveller.record.acts.deeds.deed import Deed, Looked
from traveller.record.acts.rights import Proposed
from traveller.record.entries import Body
from traveller.record.runs_entries import RunsCounted
from traveller.record.sibling_entries import TraceRole
from traveller.record.siblings import key_of


class MeasuringSiblings(Deed):
    """One row of a set as it was typed, one value a device."""

    deed: Literal["measure siblings"] = "measure siblings"
    set_name: str
    devices: tuple[str, ...] = ()
    row: str
    unit: str = ""
    readings: str
    tolerance: float | None = None
    instruments: tuple[str, ...] = ()

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return comparing.measure_siblings(
            scene.view,
            scene.person,
            self.set_name,
            self.devices,
            self.row,
            self.unit,
            self.readings,
            self.tolerance,
            scene.instruments(self.instruments),
        )

    def says(self) -> str:
        return f"{self.set_name}, {self.row}: {self.readings} {self.unit}".rstrip()


class SiblingsIntoFindings(Deed):
    deed: Literal["siblings into findings"] = "siblings into findings"
    set_name: str
    row: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return comparing.siblings_into_findings(scene.view, scene.person, self.set_name, self.row, scene.today)

    def says(self) -> str:
        return f"{self.set_name}, {self.row}: into the findings"


class TakingTrace(Deed):
    """`points` (V, A) are thinned already, out of the `taken` ones of the file."""

    deed: Literal["take trace"] = "take trace"
    node: str
    role: TraceRole
    points: tuple[tuple[float, float], ...]
    taken: int
    file: str
    sha256: str
    instruments: tuple[str, ...] = ()

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return tracing.take_trace(
            scene.view,
            scene.person,
            self.node,
            self.role,
            self.points,
            self.file,
            self.sha256,
            scene.instruments(self.instruments),
            self.taken,
        )

    def says(self) -> str:
        return f"trace of the {self.role} at {self.node}: {self.file}"


class CountingRuns(Deed):
    """Runs that were made before others saw one fail would count as clean runs after that failure."""

    deed: Literal["count runs"] = "count runs"
    test: str
    made: int
    failures: int
    clean_since: int | None = None
    first: AwareDatetime | None = None
    last: AwareDatetime | None = None
    source: str = ""

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        counted = (self.made, self.failures, self.clean_since, self.first, self.last, self.source)
        return counting.count_runs(scene.view, scene.person, self.test, *counted)

    def says(self) -> str:
        return f"{self.test}: {self.made} runs, {self.failures} failed"

    def overtaken_by(self, body: Body) -> str:
        if not isinstance(body, RunsCounted) or key_of(body.test) != key_of(self.test) or not body.failures:
            return ""
        all_after = self.first is not None and body.last is not None and self.first > body.last
        return "" if all_after else f"a run of {body.test} failed"


class TakingBackRun(Deed):
    deed: Literal["take back run"] = "take back run"
    test: str
    failed: bool

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return counting.take_back_run(scene.view, scene.person, self.test, self.failed)

    def says(self) -> str:
        return f"{self.test}: a {'failed' if self.failed else 'clean'} run taken back"


class RunsIntoFindings(Deed):
    deed: Literal["runs into findings"] = "runs into findings"
    test: str

    def propose(self, scene: Looked) -> Sequence[Proposed]:
        return counting.runs_into_findings(scene.view, scene.person, self.test, scene.today)

    def says(self) -> str:
        return f"{self.test}: into the findings"
