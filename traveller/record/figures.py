"""What the shop's record adds up to: returns, yield, time in each station, parts that fail.

Worked out from one small set of facts a unit, so that a figure never needs the record of every unit at once.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import prod
from statistics import fmean, median

from traveller.record.answering import Judges
from traveller.record.entries import BookedIn, Entry, Moved, Outcome, Released, SentBack
from traveller.record.forms import build
from traveller.record.return_entries import Returned
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.unit import fold
from traveller.record.worklist import LineState

DUE_SOON = timedelta(days=30)
WEEKS_OF_PACE = 4
INTERVAL_JUDGE = "diagnosis.intermittent"


@dataclass(frozen=True)
class Stay:
    """From when to when a unit stood at a station; `left` is None while it does. `sent_back`: it left backwards."""

    station: str
    came: datetime
    left: datetime | None = None
    sent_back: bool = False


@dataclass(frozen=True)
class UnitFacts:
    """What the figures need of one unit. `failed` names each part that had failed."""

    tag: str
    model: str
    booked: datetime
    released: datetime | None
    outcome: Outcome
    returned: Returned | None
    stays: tuple[Stay, ...]
    failed: tuple[str, ...]


def facts_of(tag: str, entries: Sequence[Entry]) -> UnitFacts | None:
    """The facts of one traveller; None when it was never booked in."""
    unit = fold(tag, entries)
    plate = unit.nameplate
    if plate is None or unit.booked_at is None:
        return None
    lines = (line for line in unit.work.values() if line.state is not LineState.STRUCK)
    return UnitFacts(
        tag=tag,
        model=f"{plate.maker} {plate.model}",
        booked=unit.booked_at,
        released=unit.release.at if unit.release else None,
        outcome=unit.outcome,
        returned=unit.returned,
        stays=tuple(_stays(entries)),
        failed=tuple(line.part for line in lines if line.reason == "failed"),
    )


def _stays(entries: Iterable[Entry]) -> list[Stay]:
    stays: list[Stay] = []
    for entry in entries:
        match entry.body:
            case BookedIn(station=station) if not stays:
                stays.append(Stay(station, entry.at))
            case Moved(station=station) | SentBack(station=station) if stays:
                back = isinstance(entry.body, SentBack)
                stays[-1] = Stay(stays[-1].station, stays[-1].came, entry.at, back)
                stays.append(Stay(station, entry.at))
            case Released() if stays:
                stays[-1] = Stay(stays[-1].station, stays[-1].came, entry.at)
    return stays


# ---- the figures --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Share:
    """`count` of `of`, with the exact interval of the share in the long run (None when nothing can be said)."""

    count: int
    of: int
    lower: float | None = None
    upper: float | None = None

    @property
    def share(self) -> float:
        return self.count / self.of if self.of else 0.0


@dataclass(frozen=True)
class StationFigures:
    """Hours are those of finished stays. `first_pass` of those units that have gone on from the station."""

    station: str
    here: int
    median_hours: float | None
    mean_hours: float | None
    first_pass: Share


@dataclass(frozen=True)
class Waiting:
    tag: str
    model: str
    station: str
    days: float


@dataclass(frozen=True)
class FailedPart:
    """`so_far` is the share of all failed parts down to and including this line."""

    model: str
    part: str
    count: int
    so_far: float


@dataclass(frozen=True)
class InstrumentDue:
    tag: str
    name: str
    due: date
    days: int


@dataclass(frozen=True)
class Figures:
    at: datetime
    in_work: int
    released: int
    came_back: Share
    came_back_covered: Share
    same_fault: int
    rolled_yield: float | None
    days_through: float | None
    stations: tuple[StationFigures, ...]
    waiting: tuple[Waiting, ...]
    parts: tuple[FailedPart, ...]
    instruments: tuple[InstrumentDue, ...]


def figures(
    units: Sequence[UnitFacts],
    stations: Sequence[str],
    instruments: Iterable[InstrumentUsed],
    judges: Judges,
    now: datetime,
    today: date,
) -> Figures:
    """All figures of this moment."""
    repaired = [one for one in units if one.released and one.outcome == "repair"]
    back = {one.returned.earlier: one.returned for one in units if one.returned}
    came = [back[one.tag] for one in repaired if one.tag in back]
    by_station = tuple(_station(name, units, judges) for name in stations)
    yields = [one.first_pass.share for one in by_station if one.first_pass.of]
    in_work = [one for one in units if not one.released]
    return Figures(
        at=now,
        in_work=len(in_work),
        released=sum(one.released is not None for one in units),
        came_back=share_of(judges, len(came), len(repaired)),
        came_back_covered=share_of(judges, sum(one.covered for one in came), len(repaired)),
        same_fault=sum(one.fault == "same" for one in came),
        rolled_yield=rolled(yields),
        days_through=_days_through(units, now),
        stations=by_station,
        waiting=_waiting(in_work, now),
        parts=pareto(units),
        instruments=_due(instruments, today),
    )


def share_of(judges: Judges, count: int, of: int) -> Share:
    """The share with its exact 95 % interval (two-sided), by the judge that diagnosis has for runs that fail."""
    judge = judges.get(INTERVAL_JUDGE)
    if judge is None or of == 0:
        return Share(count, of)
    values = {one.name: one.value for one in judge.finding(build(judge.model, {"failures": count, "runs": of})).values}
    return Share(count, of, float(values["lower"]), float(values["upper"]))


def rolled(yields: Sequence[float]) -> float | None:
    """Rolled throughput yield: the product of the first-pass yields of the steps."""
    return prod(yields) if yields else None


def days_by_little(in_work: float, a_day: float) -> float | None:
    """Mean days through the shop: units in work over units finished a day (Little's law). None without any."""
    return in_work / a_day if a_day > 0 else None


def _days_through(units: Sequence[UnitFacts], now: datetime) -> float | None:
    days = 7 * WEEKS_OF_PACE
    since = now - timedelta(days=days)
    finished = sum(one.released is not None and since <= one.released <= now for one in units)
    return days_by_little(sum(one.released is None for one in units), finished / days)


def _station(name: str, units: Sequence[UnitFacts], judges: Judges) -> StationFigures:
    """First pass: a unit that was ever sent back from the station failed there, also if it passed later."""
    stays = [stay for one in units for stay in one.stays if stay.station == name]
    hours = [(stay.left - stay.came).total_seconds() / 3600 for stay in stays if stay.left]
    done = [[stay for stay in one.stays if stay.station == name and stay.left] for one in units]
    gone_on = [of_unit for of_unit in done if of_unit]
    clean = sum(not any(stay.sent_back for stay in of_unit) for of_unit in gone_on)
    return StationFigures(
        station=name,
        here=sum(stay.left is None for stay in stays),
        median_hours=median(hours) if hours else None,
        mean_hours=fmean(hours) if hours else None,
        first_pass=share_of(judges, clean, len(gone_on)),
    )


def _waiting(in_work: Sequence[UnitFacts], now: datetime) -> tuple[Waiting, ...]:
    """Longest in the house first."""
    oldest = sorted(in_work, key=lambda one: (one.booked, one.tag))
    return tuple(
        Waiting(
            one.tag, one.model, one.stays[-1].station if one.stays else "", (now - one.booked).total_seconds() / 86400
        )
        for one in oldest
    )


def pareto(units: Iterable[UnitFacts]) -> tuple[FailedPart, ...]:
    """The parts that had failed, by model, the most frequent first, with the share of all so far."""
    counts = Counter((one.model, part) for one in units for part in one.failed)
    total, so_far = sum(counts.values()), 0
    lines = []
    for (model, part), count in sorted(counts.items(), key=lambda one: (-one[1], one[0])):
        so_far += count
        lines.append(FailedPart(model, part, count, so_far / total))
    return tuple(lines)


def _due(instruments: Iterable[InstrumentUsed], today: date) -> tuple[InstrumentDue, ...]:
    """Late ones and those due within thirty days, the first due first; days below 0 are days late."""
    soon = [one for one in instruments if one.calibration_due <= today + DUE_SOON]
    return tuple(
        InstrumentDue(one.tag, one.name, one.calibration_due, (one.calibration_due - today).days)
        for one in sorted(soon, key=lambda one: (one.calibration_due, one.tag))
    )
