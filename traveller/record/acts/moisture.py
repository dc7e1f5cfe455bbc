"""Bags of moisture-sensitive parts: opened, closed, baked. The judge of component work knows the tables."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any, get_args

from traveller.errors import InputError, Refused
from traveller.judgement import Finding, Verdict
from traveller.quantities import read_quantity
from traveller.record.acts.rights import Proposed, need_judge, need_open, need_role
from traveller.record.acts.work import WORKERS
from traveller.record.forms import build
from traveller.record.moisture import BAKE_FIRST, FITTED, Clock
from traveller.record.moisture_entries import BagClosed, BagOpened, Level, Oven, PartsBaked
from traveller.record.places import expanded
from traveller.record.shop import Person
from traveller.record.view import UnitView

FLOOR_LIFE = "component_work.floor_life"


def floor_life(view: UnitView, msl: str, out_h: float, **more: Any) -> Finding:
    """What the judge says of a part of level `msl` that was out of its bag for `out_h` hours."""
    judge = need_judge(view, FLOOR_LIFE)
    if (level := msl.strip().casefold()) not in get_args(Level):
        raise InputError(f'"{msl}" is no moisture level: as printed on the bag, {", ".join(get_args(Level))}.')
    given = {name: value for name, value in more.items() if value is not None}
    return judge.finding(build(judge.model, {"msl": level, "exposed_h": out_h, **given}))


def open_bag(
    view: UnitView,
    person: Person,
    references: str,
    msl: str,
    now: datetime,
    body: str = "",
    out: str = "",
    label: str = "",
) -> list[Proposed]:
    """A bag is open. `body` is the thickness, `out` the hours that it was open before, `label` the hours that its
    own label allows. Dry storage before counts as the judge says."""
    need_open(view)
    need_role(person, "open a bag", *WORKERS)
    body_mm = read_quantity(body, "mm").value if body.strip() else None
    allowed = _allowed(floor_life(view, msl, 0.0, body_mm=body_mm), msl, label)
    proposed = []
    for reference in expanded(references):
        clock = _live(view, reference)
        if clock and clock.since:
            raise Refused(f"The clock of {reference} runs already, since {clock.since:%Y-%m-%d %H:%M} UTC.")
        thick = body_mm if body_mm is not None else clock.body_mm if clock else None
        used = read_quantity(out, "h").value if out.strip() else _counted(view, clock, now)
        if clock and clock.msl != msl.strip().casefold():
            raise Refused(f"{reference} was of level {clock.msl} before: look at the label of the bag.")
        opened = {"references": (reference,), "msl": msl.strip().casefold(), "floor_life_h": allowed, "used_h": used}
        proposed.append(Proposed(build(BagOpened, {**opened, "body_mm": thick})))
    return proposed


def _live(view: UnitView, reference: str) -> Clock | None:
    clock = view.unit.clocks.get(reference)
    return clock if clock and clock.stopped != FITTED else None


def _allowed(finding: Finding, msl: str, label: str) -> float | None:
    """The floor life in hours, None without a limit; a label may allow less than the table, never more."""
    figures = {figure.name: figure.value for figure in finding.values}
    table = figures.get("floor_life_h")
    printed = read_quantity(label, "h").value if label.strip() else None
    if msl.strip() == BAKE_FIRST:
        if printed is None:
            raise Refused("Level 6 is baked first: type the hours that its label allows after the bake.")
        return printed
    hours = [one for one in (table, printed) if isinstance(one, float | int)]
    return min(hours) if hours else None


def _counted(view: UnitView, clock: Clock | None, now: datetime) -> float:
    """The hours outside that count when a bag is opened again after dry storage."""
    if clock is None:
        return 0.0
    if clock.floor_life_h is None or clock.stopped_at is None:
        return clock.used_h
    dry_h = max(0.0, (now - clock.stopped_at).total_seconds() / 3600)
    rested = floor_life(view, clock.msl, clock.used_h, dry_h=dry_h)
    left = next((figure.value for figure in rested.values if figure.name == "left_h"), 0.0)
    fresh = floor_life(view, clock.msl, 0.0)
    whole = next((figure.value for figure in fresh.values if figure.name == "left_h"), None)
    return 0.0 if rested.verdict is Verdict.PASS and left == whole else clock.used_h


def close_bag(view: UnitView, person: Person, references: str) -> list[Proposed]:
    """The parts lie dry again, at no more than 10 % humidity."""
    need_open(view)
    need_role(person, "close a bag", *WORKERS)
    places = expanded(references)
    for reference in places:
        clock = _live(view, reference)
        if clock is None or clock.since is None:
            raise Refused(f"No clock runs for {reference}: open its bag first.")
    return [Proposed(BagClosed(references=places))]


def bake(
    view: UnitView, person: Person, references: str, hours: str, oven: str, now: datetime, body: str = ""
) -> list[Proposed]:
    """Baked for as long as the table says, or longer: the clock starts anew. Where there is no table for it, the
    label of the part counts, and whoever enters it."""
    need_open(view)
    need_role(person, "bake parts", *WORKERS)
    if oven.strip() not in get_args(Oven):
        raise InputError(f"The tables know ovens of {', '.join(get_args(Oven))} °C: type one of these.")
    baked = read_quantity(hours, "h").value
    body_mm = read_quantity(body, "mm").value if body.strip() else None
    proposed = []
    for reference in expanded(references):
        clock = _live(view, reference)
        if clock is None:
            raise Refused(f"{reference} has no clock: open its bag first.")
        thick = body_mm if body_mm is not None else clock.body_mm
        finding = _bake_time(view, clock, now, thick, oven)
        wanted = next((figure.value for figure in finding.values if figure.name == "bake_h"), None)
        if thick is None and clock.msl != BAKE_FIRST:
            raise Refused(f"How long {reference} is baked follows from the thickness of its body: type it, in mm.")
        if isinstance(wanted, float | int) and baked < wanted:
            raise Refused(f"{reference}: {finding.says}. {baked:g} h are too short: the clock would not start anew.")
        given: Mapping[str, Any] = {
            "references": (reference,),
            "hours": baked,
            "oven": oven.strip(),
            "finding": finding,
        }
        proposed.append(Proposed(build(PartsBaked, given)))
    return proposed


def _bake_time(view: UnitView, clock: Clock, now: datetime, body_mm: float | None, oven: str) -> Finding:
    """The table counts from the end of the floor life; before it, the shortest time of the table holds."""
    beyond = max(clock.out_h(now), (clock.floor_life_h or 0.0) + 1)
    return floor_life(view, clock.msl, beyond, body_mm=body_mm, bake_at=oven.strip())
