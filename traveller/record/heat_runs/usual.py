"""The usual run of a kind of unit (``run.toml`` of the station folder), and the plan that follows from ratings."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import Field

from traveller.errors import Refused
from traveller.record.entries import Nameplate
from traveller.record.heat_runs.channels import Channel, Quantity
from traveller.record.heat_runs.plan import Plan, Step
from traveller.vocabulary import RATINGS, Plain, Short, UnitKind


class UsualChannel(Plain):
    """A channel as a kind of unit usually has it; `rated` and `at_most` may name a rating, with a factor."""

    name: Short
    quantity: Quantity
    load: bool = False
    rated: str = ""
    at_most: float | None = None


class UsualRun(Plain):
    """What ``run.toml`` of the station folder holds; see there. Keys of `answers` are what a run can prove."""

    station: str = ""
    source: str
    raise_percent: tuple[float, ...]
    raise_minutes: float
    hold_minutes: float
    band_percent: float
    reading_minutes: float
    gap_minutes: float
    margin_minutes: float
    hot_above: float
    dead_minutes: float
    criterion: str
    before_power: tuple[str, ...] = ()
    energise: str = ""
    reform_plan: str = ""
    loads: Mapping[UnitKind, tuple[str, ...]] = Field(default_factory=dict)
    channels: Mapping[UnitKind, tuple[UsualChannel, ...]] = Field(default_factory=dict)
    answers: Mapping[str, str] = Field(default_factory=dict)


def usual_plan(usual: UsualRun, plate: Nameplate, reform: str = "", overload: tuple[Step, ...] = ()) -> Plan:
    """The plan that follows from the ratings; Refused when the unit has no load to raise or a rating is missing."""
    channels = usual.channels.get(plate.unit_kind, ())
    if not channels:
        raise Refused(
            f"A {plate.unit_kind.label} has no load that is raised in steps: answer how long it was at work in the "
            "rig in its check instead."
        )
    raised = [Step(percent=percent, minutes=usual.raise_minutes) for percent in usual.raise_percent]
    held = Step(percent=100, minutes=usual.hold_minutes, what="hold")
    return Plan(
        steps=(*raised, held, *overload),
        channels=tuple(_channel(one, plate) for one in channels),
        band_percent=usual.band_percent,
        reading_minutes=usual.reading_minutes,
        gap_minutes=usual.gap_minutes,
        criterion=usual.criterion,
        hot_above=usual.hot_above,
        dead_minutes=usual.dead_minutes,
        reform=reform,
        source=usual.source,
    )


def _channel(usual: UsualChannel, plate: Nameplate) -> Channel:
    rated = plate.ratings.get(usual.rated)
    if usual.load and rated is None:
        label = RATINGS[usual.rated].label if usual.rated in RATINGS else usual.rated
        raise Refused(f"The nameplate does not say {label}: correct the booking, then plan the run.")
    return Channel(name=usual.name, quantity=usual.quantity, load=usual.load, rated=rated, at_most=usual.at_most)
