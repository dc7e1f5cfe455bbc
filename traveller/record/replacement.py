"""What has to be replaced or checked, worked out from the parts list, what failed, and the policy of the shop."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from pydantic import Field

from traveller.record.parts import PartsOnUnit, folded
from traveller.record.parts_entries import Part, PartKind
from traveller.record.unit import Unit
from traveller.record.work_entries import WorkAction, WorkReason
from traveller.record.worklist import LineState, WorkLine
from traveller.vocabulary import Plain, Words


class AgedKinds(Plain):
    """Kinds that are replaced whether they have failed or not."""

    kinds: tuple[PartKind, ...] = Field(min_length=1)
    because: Words


class SetRule(Plain):
    because: Words


class DriverRule(Plain):
    """What drives one of the kinds `behind` is checked when that device is replaced."""

    behind: tuple[PartKind, ...]
    drivers: tuple[PartKind, ...]
    because: Words


class Replacement(Plain):
    """The policy of the shop: ``replacement.toml``."""

    source: Words
    aged: tuple[AgedKinds, ...]
    matched_set: SetRule
    driver_check: DriverRule

    def aged_because(self, kind: PartKind) -> str:
        return next((rule.because for rule in self.aged if kind in rule.kinds), "")


@dataclass(frozen=True)
class WorkedOut:
    """One line that ought to be on the work list, and why in words."""

    reference: str
    part: str
    reason: WorkReason
    because: str
    matched_set: str = ""
    action: WorkAction = "replace"


def worked_out(unit: Unit, policy: Replacement, failed: Sequence[str] = ()) -> list[WorkedOut]:
    """The lines that are missing on the unit's work list, in the order of their reasons: failed parts, the rest of
    their matched sets, what ages, the drivers behind replaced power devices.

    `failed` names parts (in capitals) beyond those that are planned as failed. A struck line stays struck. A line
    to check gives way to one that replaces the part.
    """
    wanted: dict[str, WorkedOut] = {}
    for line in _replaced(unit, policy, failed):
        wanted.setdefault(line.reference, line)
    for line in list(_checked(unit, policy, failed, wanted)):
        wanted.setdefault(line.reference, line)
    return [line for line in wanted.values() if _is_missing(unit.work.get(line.reference), line)]


def _is_missing(present: WorkLine | None, line: WorkedOut) -> bool:
    if present is None:
        return True
    return present.state is not LineState.STRUCK and present.gives_way_to(line.action)


def _replaced(unit: Unit, policy: Replacement, failed: Sequence[str]) -> Iterator[WorkedOut]:
    parts = unit.parts
    for reference, name in _failed(unit, failed):
        part = parts.parts.get(reference)
        label = part.label if part else "part, not on the parts list"
        yield WorkedOut(reference, label, "failed", "failed: found in diagnosis", name)
    for part, because in _beside_failed(unit, failed):
        if part.kind not in policy.driver_check.drivers:
            because = f"{because}: {policy.matched_set.because}"
            yield WorkedOut(part.reference, part.label, "matched set", because, part.matched_set)
    for part in parts.parts.values():
        if because := policy.aged_because(part.kind):
            yield WorkedOut(part.reference, part.label, "aged", f"aged: {because}", part.matched_set)


def _failed(unit: Unit, named: Sequence[str]) -> Iterator[tuple[str, str]]:
    """(reference, matched set) of every part that failed, each once."""
    planned = {
        line.reference: line.matched_set
        for line in unit.work.values()
        if line.reason == "failed" and line.state is not LineState.STRUCK
    }
    for reference in dict.fromkeys([*planned, *named]):
        part = unit.parts.parts.get(reference)
        yield reference, (part.matched_set if part else "") or planned.get(reference, "")


def _beside_failed(unit: Unit, named: Sequence[str]) -> Iterator[tuple[Part, str]]:
    """Every part of a matched set of which a member failed, and which member that was, in words."""
    sets: dict[str, list[str]] = {}
    for reference, name in _failed(unit, named):
        sets.setdefault(folded(name), []).append(reference)
    for name, bad in sets.items():
        for part in unit.parts.in_set(name):
            yield part, f"matched set {part.matched_set}, {', '.join(sorted(bad))} failed"


def _checked(
    unit: Unit, policy: Replacement, failed: Sequence[str], wanted: Mapping[str, WorkedOut]
) -> Iterator[WorkedOut]:
    """A line for each driver behind the power devices that are replaced, and for each device without a known one."""
    rule = policy.driver_check
    behind: dict[str, list[str]] = {}
    for device in unit.parts.parts.values():
        if device.kind in rule.behind and _goes(unit, wanted, device):
            drivers = [driver.reference for driver in drivers_of(unit.parts, device, rule)]
            for reference in drivers or [f"{device.reference[:12]}.DRV"]:
                behind.setdefault(reference, []).append(device.reference)
    for reference, driven in behind.items():
        driver = unit.parts.parts.get(reference)
        label = driver.label if driver else f"driver stage of {', '.join(driven)}"
        because = f"driver check: {', '.join(sorted(driven))} replaced; {rule.because}"
        yield WorkedOut(reference, label[:120], "driver check", because, driver.matched_set if driver else "", "check")
    for part, because in _beside_failed(unit, failed):
        yield WorkedOut(
            part.reference, part.label, "driver check", f"driver check: {because}", part.matched_set, "check"
        )


def _goes(unit: Unit, wanted: Mapping[str, WorkedOut], part: Part) -> bool:
    """Whether the part is replaced: it is on the list or going to be, and nobody struck it."""
    line = unit.work.get(part.reference)
    if line and line.state is LineState.STRUCK:
        return False
    return part.reference in wanted or bool(line and line.action == "replace")


def drivers_of(parts: PartsOnUnit, device: Part, rule: DriverRule) -> Iterator[Part]:
    """What drives a device: the parts that name it, or else the drivers in its matched set that name nobody."""
    named = [part for part in parts.parts.values() if device.reference in part.drives]
    in_set = (part for part in parts.in_set(device.matched_set) if part.kind in rule.drivers and not part.drives)
    yield from named or in_set
