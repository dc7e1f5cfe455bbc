"""The kinds of entry about a heat run. A run is named by the entry that first planned it."""

from __future__ import annotations

from typing import Literal
from uuid import UUID

from pydantic import AwareDatetime, Field

from traveller.judgement import Finding, Verdict
from traveller.record.heat_runs.hold import Piece
from traveller.record.heat_runs.plan import Plan
from traveller.vocabulary import Plain, Words

FaultKind = Literal[
    "time runs backwards",
    "clock changed",
    "channel missing",
    "channel dead",
    "columns swapped",
    "wrong by 1000",
    "implausible",
    "stream stopped",
    "file replaced",
    "not a number",
]


class InputFault(Plain):
    """Something that is wrong with what came from the logger; it keeps the run from passing until it is settled."""

    fault: FaultKind
    says: str
    at: AwareDatetime
    channel: str = ""

    @property
    def key(self) -> str:
        return f"{self.fault}:{self.channel}" if self.channel else self.fault


class Summary(Plain):
    """One channel over one chunk; nothing but `count` 0 when no number came."""

    name: str
    count: int = Field(ge=0)
    least: float = 0.0
    mean: float = 0.0
    most: float = 0.0
    last: float = 0.0


class RunPlanned(Plain):
    """A new run, or with `run` another plan for one that has not started."""

    kind: Literal["run planned"] = "run planned"
    plan: Plan
    rig: str
    booking: UUID | None = None
    run: UUID | None = None


class RunStarted(Plain):
    kind: Literal["run started"] = "run started"
    run: UUID
    started: AwareDatetime


class ReadingsTaken(Plain):
    """Read and typed by a person; `values` by the name of the channel, in its unit."""

    kind: Literal["readings taken"] = "readings taken"
    run: UUID
    taken: AwareDatetime
    values: dict[str, float] = Field(min_length=1)
    note: str = ""


class SamplesKept(Plain):
    """A chunk of a logger's samples: the samples lie in the store under their SHA-256, here is what they say.

    `piece` is what the hold needs of them. `number` counts the chunks of the run from 1.
    """

    kind: Literal["samples kept"] = "samples kept"
    run: UUID
    number: int = Field(ge=1)
    begins: AwareDatetime
    ends: AwareDatetime
    count: int = Field(ge=1)
    sha256: str
    channels: tuple[Summary, ...]
    piece: Piece
    faults: tuple[InputFault, ...] = ()
    origin: str = ""


class FaultSettled(Plain):
    """Somebody looked into it; `fault` is its key, and `how` says why the run may be judged all the same."""

    kind: Literal["fault settled"] = "fault settled"
    run: UUID
    fault: str
    how: Words


class RunStopped(Plain):
    kind: Literal["run stopped"] = "run stopped"
    run: UUID
    stopped: AwareDatetime
    why: Words


class Judged(Plain):
    """One part of the verdict by its name."""

    name: str
    finding: Finding


class RunJudged(Plain):
    kind: Literal["run judged"] = "run judged"
    run: UUID
    verdict: Verdict
    parts: tuple[Judged, ...]


RunBody = RunPlanned | RunStarted | ReadingsTaken | SamplesKept | FaultSettled | RunStopped | RunJudged
