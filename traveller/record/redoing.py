"""What has to be proved again, and what would have to be if the unit were opened again. In route order."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from traveller.record.evidence import Proof, Standing, State
from traveller.record.facts import Disturbance
from traveller.record.unit import sending_back
from traveller.record.view import UnitView


def to_redo(view: UnitView) -> list[Standing]:
    """The checks that were answered and are stale; each standing says why, and since when."""
    return [] if view.unit.release else [one for one in view.standings() if one.state is State.STALE]


def voided_by(view: UnitView, *events: str) -> list[Standing]:
    """The standings that count now and would be stale after `events` (the words of ``stale_after``)."""
    unit = view.unit
    at = unit.last_at or datetime.min.replace(tzinfo=UTC)
    happened = Disturbance(events, unit.sequence + 1, " and ".join(events), at)
    after = Proof(replace(unit, disturbances=[*unit.disturbances, happened]), view.book)
    now = ((one, after.standing(one.check)) for one in view.standings() if one.state.counts)
    return [one for one, then in now if then.state is State.STALE]


def voided_by_sending_back(view: UnitView, station: str) -> tuple[list[Standing], list[Standing]]:
    """(what goes stale when the unit is sent back to the station, what more when a part is fitted there)."""
    at_once = voided_by(view, *sending_back(station))
    with_work = voided_by(view, *sending_back(station), "work")
    return at_once, [one for one in with_work if one not in at_once]


def names(view: UnitView, standings: list[Standing], most: int = 4) -> str:
    """``Inspection: Screws all there, Clearances kept; Load test: Weight`` and how many more."""
    shown: dict[str, list[str]] = {}
    for one in standings[:most]:
        sheet = view.book.sheet(one.check.station)
        name = sheet.name if sheet else one.check.station
        shown.setdefault(name, []).append(one.check.short)
    more = f" and {len(standings) - most} more" if len(standings) > most else ""
    return "; ".join(f"{station}: {', '.join(checks)}" for station, checks in shown.items()) + more
