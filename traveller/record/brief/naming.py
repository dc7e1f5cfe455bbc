"""Rigs by their names: the record of a unit knows only the tag of the rig that it runs on, the shop knows the name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from traveller.record.brief.brief import Brief, Glance
from traveller.record.brief.matter import Section
from traveller.record.shop import Shop

_RUNNING = Section.RUNNING


def brief_with_rigs_named(brief: Brief, shop: Shop) -> Brief:
    """The same, and before the tag of a rig that something runs on its name."""
    names = _names(shop)
    named = [line._replace(says=_named(line.says, names)) if line.section is _RUNNING else line for line in brief.lines]
    return replace(brief, lines=tuple(named))


def with_rigs_named(glances: Iterable[Glance], shop: Shop) -> Iterator[Glance]:
    """The same for units whose matters are still to be put in order."""
    names = _names(shop)
    for glance in glances:
        matters = [
            replace(one, says=_named(one.says, names)) if one.section is _RUNNING else one for one in glance.matters
        ]
        yield replace(glance, matters=matters)


def _names(shop: Shop) -> Mapping[str, str]:
    return {tag: f"{rig.name} {tag}" for tag, rig in shop.rigs.items()}


def _named(says: str, names: Mapping[str, str]) -> str:
    for tag, name in names.items():
        says = says.replace(tag, name)
    return says
