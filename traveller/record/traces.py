"""Signature traces: what was taken at each node, and the limit that good siblings of the same model teach."""

from __future__ import annotations

import heapq
import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from traveller.errors import InputError
from traveller.judgement import Finding
from traveller.record.entries import Entry
from traveller.record.forms import build
from traveller.record.sibling_entries import MOST_POINTS_KEPT, TraceRole, TraceTaken

if TYPE_CHECKING:
    from traveller.record.answering import Judges

JUDGE = "diagnosis.signature"
FEWEST_GOOD = 3  # common practice: two good ones can differ, but not show how much is usual
MOST_COMPARED = 12
Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class Trace:
    """One trace (V, A). `taken` is how many points the file held; `tag` is the unit that it was taken on."""

    node: str
    role: TraceRole
    points: Points
    taken: int
    file: str
    sha256: str
    by: str
    at: datetime
    sequence: int
    tag: str


@dataclass(frozen=True)
class NodeTraces:
    """What was taken at one node: the latest of each role, and all of them in order."""

    node: str
    good: Trace | None = None
    suspect: Trace | None = None
    taken: tuple[Trace, ...] = ()


Traces = Mapping[str, NodeTraces]


def with_entry(nodes: Traces, entry: Entry, body: TraceTaken) -> Traces:
    trace = Trace(
        node=body.node,
        role=body.role,
        points=body.points,
        taken=body.taken,
        file=body.file,
        sha256=body.sha256,
        by=entry.by,
        at=entry.at,
        sequence=entry.sequence,
        tag=entry.subject,
    )
    known = nodes.get(body.node) or NodeTraces(body.node)
    good = trace if body.role == "good" else known.good
    suspect = trace if body.role == "suspect" else known.suspect
    return {**nodes, body.node: NodeTraces(body.node, good, suspect, (*known.taken, trace))}


def thinned(points: Points, most: int = MOST_POINTS_KEPT) -> Points:
    """At most so many of the points: again and again the one that departs most from the straight line between its
    kept neighbours. A knee or a spike stays; what a straight line shows as well goes.
    """
    if len(points) <= most:
        return points
    kept = [0, len(points) - 1]
    waiting = [_farthest(points, 0, len(points) - 1)]
    while len(kept) < most and waiting:
        _gap, place, low, high = heapq.heappop(waiting)
        kept.append(place)
        for start, end in ((low, place), (place, high)):
            if end - start > 1:
                heapq.heappush(waiting, _farthest(points, start, end))
    return tuple(points[place] for place in sorted(kept))


def _farthest(points: Points, low: int, high: int) -> tuple[float, int, int, int]:
    """(minus the departure, its place, low, high) of the point that is farthest from the line low to high."""
    (x0, y0), (x1, y1) = points[low], points[high]
    slope = (y1 - y0) / (x1 - x0) if x1 != x0 else 0.0
    gaps = ((abs(y - y0 - slope * (x - x0)), place) for place, (x, y) in enumerate(points[low + 1 : high], low + 1))
    gap, place = max(gaps, key=lambda one: (one[0], -abs(2 * one[1] - low - high)))
    return -gap, place, low, high


@dataclass(frozen=True)
class Learned:
    """How far good siblings lie apart. `percent` is None while there is no limit, and `says` why; `rests_on` is the
    number of good traces that were compared.
    """

    percent: float | None
    rests_on: int
    says: str
    working: tuple[str, ...] = ()


def learn(good: Sequence[Trace], judges: Judges) -> Learned:
    """The limit from good traces of the same node: the largest distance between any two of them, either way round.

    The same file twice is one trace. The newest dozen count. Never raises.
    """
    single = list({one.sha256: one for one in sorted(good, key=lambda one: one.at)}.values())[-MOST_COMPARED:]
    distances = list(_distances(single, judges))
    used = {trace.sha256 for one, other, _gap in distances for trace in (one, other)}
    count = len(used) if distances else len(single)
    from_good = f"{count} good trace{'' if count == 1 else 's'} of this model at this node"
    if count < FEWEST_GOOD:
        return Learned(None, count, f"no limit: {from_good}, and it takes at least {FEWEST_GOOD}")
    one, other, largest = max(distances, key=lambda pair: pair[2])
    if largest == 0 or largest > 1000:
        return Learned(
            None, count, f"no limit: {from_good} lie {largest:.3g} % apart, which cannot be so: look at them"
        )
    left_out = len(single) - count
    rest = f"; {left_out} left out, traced over other volts" if left_out else ""
    return Learned(
        round(largest, 6),
        count,
        f"limit {largest:.3g} %, learned from {from_good}",
        (f"good siblings: {len(distances)} comparisons, the largest {one.tag} against {other.tag}{rest}",),
    )


def _distances(good: Sequence[Trace], judges: Judges) -> Iterator[tuple[Trace, Trace, float]]:
    for one, other in itertools.permutations(good, 2):
        finding = _judged(judges, {"reference": one.points, "suspect": other.points})
        distance = _figure(finding, "distance")
        if distance is not None:
            yield one, other, distance


def _figure(finding: Finding | None, name: str) -> float | None:
    values = finding.values if finding else ()
    return next((float(one.value) for one in values if one.name == name and isinstance(one.value, float)), None)


def _judged(judges: Judges, values: Mapping[str, Points | float | None]) -> Finding | None:
    try:
        return judged(judges, values)
    except InputError:
        return None


def judged(judges: Judges, values: Mapping[str, Points | float | None]) -> Finding:
    """The finding of the judge of signatures; InputError when it is missing or cannot take these traces."""
    judge = judges.get(JUDGE)
    if judge is None:
        raise InputError("The judge of signature traces is not in the station folder: tell the shift lead.")
    return judge.finding(build(judge.model, values))


@dataclass(frozen=True)
class Compared:
    """A suspect over its reference. `finding` is None when they cannot be compared, and `says` then says why."""

    suspect: Trace | None
    reference: Trace | None
    learned: Learned
    finding: Finding | None
    says: str

    @property
    def worst_voltage(self) -> float | None:
        return _figure(self.finding, "worst_voltage")


def compared(tag: str, node: NodeTraces, elsewhere: Sequence[Trace], judges: Judges) -> Compared:
    """The suspect of a node against a good trace: the unit's own, else the newest of another unit of the model.

    Never raises.
    """
    good = [*elsewhere, *([node.good] if node.good else [])]
    learned = learn(good, judges)
    reference = node.good or max(elsewhere, key=lambda one: one.at, default=None)
    if node.suspect is None or reference is None:
        missing = "no suspect was traced here" if node.suspect is None else "there is no good trace to lay it over"
        return Compared(node.suspect, reference, learned, None, missing)
    values = {"reference": reference.points, "suspect": node.suspect.points, "limit_percent": learned.percent}
    try:
        finding = judged(judges, values)
    except InputError as error:
        return Compared(node.suspect, reference, learned, None, str(error))
    whose = "this unit" if reference.tag == tag else reference.tag
    return Compared(node.suspect, reference, learned, finding, f"{finding.says} (reference: {whose})")


def as_typed(points: Points) -> str:
    """The points as a field for a curve reads them."""
    return "; ".join(f"{x!r} {y!r}" for x, y in points)
