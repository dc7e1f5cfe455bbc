"""Rigs by their names: the record of a unit knows only the tag of the rig that it runs on, the shop knows the name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from traveller.record.brief.brief import Glance
from traveller.record.brief.matter import Matter, Section
from traveller.record.shop import Shop

_RUNNING = Section.RUNNING


def with_rigs_named(glances: Iterable[Glance], shop: Shop) -> Iterator[Glance]:
    """The same, and before the tag of a rig that something runs on its name."""
    names = {tag: f"{rig.name} {tag}" for tag, rig in shop.rigs.items()}
    for glance in glances:
        runs = any(matter.section is _RUNNING for matter in glance.matters)
        yield replace(glance, matters=[_named(one, names) for one in glance.matters]) if runs else glance


def _named(matter: Matter, names: Mapping[str, str]) -> Matter:
    says = matter.says
    for tag, name in names.items() if matter.section is _RUNNING else ():
        says = says.replace(tag, name)
    return matter if says == matter.says else replace(matter, says=says)
