"""The shop itself, folded from its own entries: people, instruments, rigs, shelves."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from traveller.record.entries import Entry
from traveller.record.parts_entries import PartHeadersLearned
from traveller.record.rig_entries import LoggerMapped, RigBooked, RigFreed, RigTaken
from traveller.record.rigs import Booking, with_entry
from traveller.record.shop_entries import (
    InstrumentRegistered,
    InstrumentUsed,
    PersonEnrolled,
    PersonLeft,
    RigRegistered,
    ShelfRegistered,
    ShopNamed,
)
from traveller.vocabulary import Role


@dataclass(frozen=True)
class Person:
    tag: str
    name: str
    roles: tuple[Role, ...]
    left: bool = False

    def may(self, *roles: Role) -> bool:
        return not self.left and any(role in self.roles for role in roles)


@dataclass
class Shop:
    """Built by `fold_shop`; everybody else only reads it."""

    name: str = ""
    zone: str = "UTC"
    demo: bool = False
    people: dict[str, Person] = field(default_factory=dict)
    instruments: dict[str, InstrumentUsed] = field(default_factory=dict)
    rigs: dict[str, RigRegistered] = field(default_factory=dict)
    bookings: Mapping[UUID, Booking] = field(default_factory=dict)
    loggers: dict[tuple[str, ...], LoggerMapped] = field(default_factory=dict)
    shelves: dict[str, ShelfRegistered] = field(default_factory=dict)
    part_headers: dict[frozenset[str], dict[str, str]] = field(default_factory=dict)
    sequence: int = 0
    last_at: datetime | None = None

    def called(self, tag: str) -> str:
        """The name behind a tag, or the tag itself."""
        for room in (self.people, self.instruments, self.rigs, self.shelves):
            if tag in room:
                name: str = room[tag].name
                return name
        return tag

    def present(self) -> list[Person]:
        return sorted((p for p in self.people.values() if not p.left), key=lambda p: p.name)


def fold_shop(entries: Iterable[Entry]) -> Shop:
    shop = Shop()
    for entry in entries:
        shop.sequence, shop.last_at = entry.sequence, entry.at
        match entry.body:
            case ShopNamed(name=name, zone=zone, demo=demo):
                shop.name, shop.zone, shop.demo = name, zone, demo
            case PersonEnrolled(tag=tag, name=name, roles=roles):
                shop.people[tag] = Person(tag, name, roles)
            case PersonLeft(tag=tag) if tag in shop.people:
                gone = shop.people[tag]
                shop.people[tag] = Person(gone.tag, gone.name, gone.roles, left=True)
            case InstrumentRegistered(instrument=instrument):
                shop.instruments[instrument.tag] = instrument
            case RigRegistered() as rig:
                shop.rigs[rig.tag] = rig
            case RigBooked() | RigTaken() | RigFreed():
                shop.bookings = with_entry(shop.bookings, entry)
            case LoggerMapped(headings=headings) as logger:
                shop.loggers[headings] = logger
            case ShelfRegistered() as shelf:
                shop.shelves[shelf.tag] = shelf
            case PartHeadersLearned(headers=headers, columns=columns):
                shop.part_headers[frozenset(headers)] = columns
    return shop
