"""Packing on the screen: a sheet whose first line takes the scan of the unit in hand, and the papers it gives."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, get_args

from traveller.record.carriage import FIELDS, read_packed
from traveller.record.carriage_entries import PackedIn, Wood
from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from traveller.record.carriage_entries import Packed
    from traveller.record.view import UnitView
    from traveller.screens.app import TravellerApp


def packing_sheet(terminal: TravellerApp, view: UnitView, done: Callable[[UnitView], None]) -> SheetOfFields:
    """What was packed before stands in the lines; the tag in hand is scanned anew each time."""
    tag = view.unit.tag

    def act(values: Values) -> UnitView:
        typed: dict[str, Any] = {**values, "shielded": values["shielded"] == "yes"}
        used = [one.tag for one in terminal.in_hand.values()]
        return terminal.workshop.papers.pack(tag, terminal.by, read_packed(typed), used)

    return SheetOfFields(
        f"Pack {tag}",
        _lines(view),
        act,
        done,
        intro="Scan the tag on the unit in hand, then the tag of the scale. What you type answers the checks of "
        "dispatch that ask the same.",
        caution="Heavier than 25 kg: two people lift. A swollen or hot cell is not packed: tell the lead.",
    )


def _lines(view: UnitView) -> list[Line]:
    before = view.unit.packed.body if view.unit.packed else None
    known = _as_typed(before) if before and before.kind == "packed" else {}
    plate = view.unit.nameplate
    lines = [
        Line("scanned", "tag in hand", "scan the unit", scan=True),
        Line("packages", "packages", "length x width x height in cm, then kg: 63x51x45 5.4; a second behind a ;"),
        Line("packed_in", "packed in", value="foam and carton", options=get_args(PackedIn)),
        Line("shielded", "shielding bag", "closed, whole, labelled?", options=("yes", "no")),
        Line("wood", "wood", "ISPM 15, for abroad", value="no raw wood", options=get_args(Wood)),
        Line("addressee", "to", "up to ten lines, parted by ;", value=plate.customer if plate else ""),
        Line("carrier", "carrier"),
        Line("consignment", "consignment", "number on the carrier's label"),
        Line("customs", "abroad", f"only abroad: {FIELDS}", optional=True),
    ]
    return [line.holding(known.get(line.name, line.value)) for line in lines]


def _as_typed(packed: Packed) -> dict[str, str]:
    sides = (f"{p.length_cm:g}x{p.width_cm:g}x{p.height_cm:g} {p.weight_kg:g}" for p in packed.packages)
    customs = (
        f"{c.description} | {c.tariff} | {c.origin} | {c.goods_value} | {c.repair_value} | {c.currency}"
        for c in packed.customs
    )
    return {
        "packages": "; ".join(sides),
        "packed_in": packed.packed_in,
        "shielded": "yes" if packed.shielded else "no",
        "wood": packed.wood,
        "addressee": "; ".join(packed.addressee),
        "carrier": packed.carrier,
        "consignment": packed.consignment,
        "customs": "; ".join(customs),
    }


def write_papers(terminal: TravellerApp, view: UnitView, done: Callable[[str], None]) -> None:
    """Every paper of the unit into a folder of its own; `done` is told where, whether they are only drafts, and what
    could not be printed."""
    from traveller.terminal import home

    tag, draft = view.unit.tag, view.unit.release is None
    folder = home() / "papers" / tag
    head = "DRAFTS (not released)" if draft else "Papers"
    later = " p packs, then the packing list and the address label come too." if draft and not view.unit.packed else ""

    def told(written: tuple[list[str], list[str]]) -> None:
        names, missing = written
        lost = f" □ stands for {'; '.join(missing)}." if missing else ""
        done(f"{head} in {folder}: {', '.join(names)}.{lost}{later}")

    terminal.errand(partial(_write, terminal, tag, folder), told, what="Writing the papers")


def _write(terminal: TravellerApp, tag: str, folder: Path) -> tuple[list[str], list[str]]:
    made = terminal.workshop.papers.all(tag)
    folder.mkdir(parents=True, exist_ok=True)
    for name, done in made.items():
        (folder / name).write_bytes(done.data)
    return list(made), sorted({one for done in made.values() for one in done.missing})
