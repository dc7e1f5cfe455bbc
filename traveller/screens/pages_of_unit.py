"""The pages of a unit that F6 opens beside its acts: what is measured, seen, counted and found on it."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING

from traveller.screens.choice import Way

if TYPE_CHECKING:
    from traveller.record.view import UnitView
    from traveller.screens.page import Page


@dataclass(frozen=True)
class PageOfUnit:
    """`page` is its file and class, loaded when it is opened; at the stations in `at` it stands first in the list."""

    way: Way
    page: str
    at: tuple[str, ...] = ()
    needs_repair: bool = False


PAGES = (
    PageOfUnit(
        Way("siblings", "t", "table of siblings", "readings side by side, the odd one out"),
        "siblings:SiblingsPage",
        ("diagnosis",),
    ),
    PageOfUnit(
        Way("traces", "g", "graph of traces", "a suspect over a good sibling"),
        "traces:TracesPage",
        ("diagnosis",),
    ),
    PageOfUnit(
        Way("runs", "k", "keep count of runs", "a fault that shows now and then"),
        "runs:RunsPage",
        ("diagnosis",),
    ),
    PageOfUnit(
        Way("findings", "i", "findings, estimate", "why it failed, cost, the customer's word"),
        "findings:FindingsPage",
        ("diagnosis",),
    ),
    PageOfUnit(
        Way("joints", "j", "joints, defects", "counted, and what is not seen yet"),
        "joints:JointsPage",
        ("inspection",),
    ),
    PageOfUnit(
        Way("run", "o", "load run", "plan it, watch it, judge it"),
        "run.page:RunPage",
        ("load_test",),
        needs_repair=True,
    ),
    PageOfUnit(
        Way("thermal", "v", "view of a thermal camera", "hot places against their siblings"),
        "thermal:ThermalPage",
        ("load_test",),
    ),
    PageOfUnit(
        Way("photos", "f", "photos", "of the unit, its checks, its work lines"),
        "photos:PhotosPage",
        ("goods_in", "component_work", "inspection", "dispatch"),
    ),
    PageOfUnit(Way("label", "s", "show the tag as a code", "to scan it from the screen"), "code:CodePage"),
)


def pages_for(view: UnitView) -> tuple[list[Way], list[Way]]:
    """(those that belong to where the unit stands, the others)."""
    able = [one for one in PAGES if not one.needs_repair or view.unit.heat_runs or _is_repaired(view)]
    here = [one.way for one in able if view.unit.station in one.at]
    return here, [one.way for one in able if one.way not in here]


def _is_repaired(view: UnitView) -> bool:
    return view.sheet is not None and view.sheet is not view.book.first and view.unit.outcome == "repair"


def page_named(key: str, tag: str) -> Page[object] | None:
    """The page behind a way, for this unit; None when the way is an act."""
    for one in PAGES:
        if one.way.key == key:
            file, _, name = one.page.partition(":")
            made: Page[object] = getattr(import_module(f"traveller.screens.{file}"), name)(tag)
            return made
    return None
