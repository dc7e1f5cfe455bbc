"""The work list of a unit: one line per part to replace, and how far each has come."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum

from traveller.judgement import Finding
from traveller.record.entries import Entry
from traveller.record.work_entries import (
    WorkAction,
    WorkFitted,
    WorkPlanned,
    WorkReason,
    WorkRejected,
    WorkStruck,
    WorkVerified,
)


class LineState(StrEnum):
    PLANNED = "planned"
    FITTED = "fitted"
    VERIFIED = "verified"
    STRUCK = "struck"

    @property
    def sign(self) -> str:
        return {"planned": "□", "fitted": "◧", "verified": "■", "struck": "–"}[self.value]

    def reaches(self, wanted: str) -> bool:
        """Whether the line has come as far as `wanted` ("fitted" or "verified"); a struck line always has."""
        ranks = {LineState.PLANNED: 0, LineState.FITTED: 1, LineState.VERIFIED: 2, LineState.STRUCK: 3}
        return ranks[self] >= ranks[LineState(wanted)]


@dataclass(frozen=True)
class WorkLine:
    reference: str
    part: str
    reason: WorkReason
    matched_set: str
    state: LineState
    planned_by: str
    fitted: str = ""
    lot: str = ""
    fitted_by: str = ""
    fitted_at: datetime | None = None
    verified_by: str = ""
    remark: str = ""
    because: str = ""
    action: WorkAction = "replace"
    finding: Finding | None = None

    @property
    def says(self) -> str:
        """The state in a word; a line to check is never fitted, it is checked."""
        return "checked" if self.action == "check" and self.state is LineState.FITTED else str(self.state)

    def gives_way_to(self, action: WorkAction) -> bool:
        """A struck line may be planned again, and what was only to be checked may have to be replaced after all."""
        return self.state is LineState.STRUCK or (self.action == "check" and action == "replace")


WorkBody = WorkPlanned | WorkFitted | WorkVerified | WorkRejected | WorkStruck
WorkList = dict[str, WorkLine]


def with_entry(lines: WorkList, entry: Entry, body: WorkBody) -> WorkList:
    """The list after one entry; an entry that does not fit the line's state leaves the list as it was."""
    line = lines.get(body.reference)
    match body:
        case WorkPlanned():
            planned = WorkLine(
                reference=body.reference,
                part=body.part,
                reason=body.reason,
                matched_set=body.matched_set,
                state=LineState.PLANNED,
                planned_by=entry.by,
                because=body.because,
                action=body.action,
            )
            return {**lines, body.reference: planned} if line is None or line.gives_way_to(body.action) else lines
        case WorkFitted() if line and line.state is not LineState.STRUCK:
            changed = replace(
                line,
                state=LineState.FITTED,
                fitted=body.fitted,
                lot=body.lot,
                fitted_by=entry.by,
                fitted_at=entry.at,
                finding=body.finding,
                verified_by="",
                remark="",
            )
        case WorkVerified() if line and line.state is LineState.FITTED and line.fitted_by != entry.by:
            changed = replace(line, state=LineState.VERIFIED, verified_by=entry.by)
        case WorkRejected() if line and line.state in (LineState.FITTED, LineState.VERIFIED):
            changed = replace(line, state=LineState.PLANNED, verified_by="", remark=f"rejected: {body.why}")
        case WorkStruck() if line:
            changed = replace(line, state=LineState.STRUCK, remark=f"struck: {body.why}")
        case _:
            return lines
    return {**lines, body.reference: changed}


def lines_short_of(lines: WorkList, wanted: str) -> list[WorkLine]:
    """The lines that have not come as far as `wanted`, in the order in which they were planned."""
    return [line for line in lines.values() if not line.state.reaches(wanted)]


def progress(lines: WorkList, wanted: str = "fitted") -> str:
    """At a glance: ``12 of 14 fitted, left: C17, K3``."""
    live = [line for line in lines.values() if line.state is not LineState.STRUCK]
    if not live:
        return "no work lines"
    left = [line.reference for line in lines_short_of(lines, wanted)]
    done = f"{len(live) - len(left)} of {len(live)} {wanted}"
    if not left:
        return done
    shown = ", ".join(left[:6]) + (f" and {len(left) - 6} more" if len(left) > 6 else "")
    return f"{done}, left: {shown}"
