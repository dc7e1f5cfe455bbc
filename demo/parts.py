"""The work that is worked out from a parts list and from what failed, and bags that are open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from traveller.vocabulary import Role, UnitKind

from .bench import Bench


@dataclass(frozen=True)
class FoundBad:
    """What failed on the parts list, and what the checked drivers turned out to be."""

    failed: tuple[str, ...]
    driver_found: str = "pulses clean, +15.1 V and -8.2 V at the gate"


FOUND_BAD: Mapping[UnitKind, FoundBad] = {
    UnitKind.AC_DRIVE: FoundBad(("Q5",)),
    UnitKind.SERVO_DRIVE: FoundBad(("U21", "U40")),
    UnitKind.CIRCUIT_BOARD: FoundBad(("U31",), "outputs switch, saturation 0.9 V at 0.5 A"),
}


def listed_and_worked_out(bench: Bench) -> None:
    """The list from the file of the drawing office, and all lines that follow from it and from what failed."""
    kind = bench.sent.nameplate.unit_kind
    parts, by = bench.workshop.parts, bench.by(Role.TECHNICIAN)
    parts.import_list(bench.tag, str(bench.drawer.parts(kind)), by)
    bench.view = parts.work_out(bench.tag, bench.by(Role.TECHNICIAN), FOUND_BAD[kind].failed)


def fit_some(bench: Bench, number: int) -> None:
    """The first so many lines; a driver is looked at, everything else is replaced."""
    found = FOUND_BAD[bench.sent.nameplate.unit_kind].driver_found
    bench.fit(leave=len(bench.view.unit.work) - number, found=found)


def open_bag(bench: Bench, references: str, level: str, body: str, out: str) -> None:
    """Moisture-sensitive parts are out of their bag, as they were for `out` before: the clock runs."""
    by = bench.by(Role.TECHNICIAN)
    bench.view = bench.workshop.bags.open(bench.tag, references, level, by, body, out)
