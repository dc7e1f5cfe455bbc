"""The shop itself, folded from its own entries: people, instruments, rigs, shelves, shifts, what is handed over."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, replace
from datetime import date, datetime
from typing import Any
from uuid import UUID

from traveller.record import handover, notices
from traveller.record.entries import Entry
from traveller.record.handover import Handovers
from traveller.record.notices import Notices
from traveller.record.parts_entries import PartHeadersLearned
from traveller.record.rig_entries import LoggerMapped, RigBooked, RigFreed, RigTaken
from traveller.record.rigs import Booking, with_entry
from traveller.record.roll import Person, Roll
from traveller.record.shift_entries import CrewSet, PatternSet
from traveller.record.shifts import Roster, Turn, zone_of
from traveller.record.shop_entries import (
    InstrumentRegistered,
    InstrumentUsed,
    PersonEnrolled,
    PersonLeft,
    RigRegistered,
    ShelfRegistered,
    ShopNamed,
)

__all__ = ["Person", "Shop", "fold_shop"]


@dataclass
class Shop(Roll):
    """Built by `fold_shop`; everybody else only reads it."""

    instruments: dict[str, InstrumentUsed] = field(default_factory=dict)
    rigs: dict[str, RigRegistered] = field(default_factory=dict)
    bookings: Mapping[UUID, Booking] = field(default_factory=dict)
    loggers: dict[tuple[str, ...], LoggerMapped] = field(default_factory=dict)
    shelves: dict[str, ShelfRegistered] = field(default_factory=dict)
    roster: Roster = field(default_factory=Roster)
    crews: dict[str, tuple[tuple[datetime, str], ...]] = field(default_factory=dict)
    handovers: Handovers = field(default_factory=Handovers)
    notices: Notices = field(default_factory=Notices)
    part_headers: dict[frozenset[str], dict[str, str]] = field(default_factory=dict)
    sequence: int = 0
    last_at: datetime | None = None

    def turn(self, now: datetime) -> Turn:
        """The shift that is on."""
        return self.roster.turn(now, self.zone)

    def crew_of(self, person: str, at: datetime | None = None) -> str:
        """The crew of a person at a moment, now if none is named; empty for none."""
        moves = [crew for since, crew in self.crews.get(person, ()) if at is None or since <= at]
        return moves[-1] if moves else ""

    def called(self, tag: str) -> str:
        """The name behind a tag, or the tag itself."""
        for room in (self.people, self.instruments, self.rigs, self.shelves):
            if tag in room:
                name: str = room[tag].name
                return name
        return tag

    def day(self, moment: datetime) -> date:
        """Which day it is in the shop at that moment."""
        return moment.astimezone(zone_of(self.zone)).date()


def fold_shop(entries: Iterable[Entry], before: Shop | None = None) -> Shop:
    """The shop after these entries; with `before` they are the ones that came after it was folded."""
    shop = _copied(before) if before else Shop()
    for entry in entries:
        shop.sequence, shop.last_at = entry.sequence, entry.at
        match entry.body:
            case ShopNamed() | PersonEnrolled() | PersonLeft() as body:
                shop.take(entry.at, body)
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
            case PatternSet() as body:
                shop.roster = shop.roster.with_pattern(body)
            case CrewSet(person=person, crew=crew):
                shop.crews[person] = (*shop.crews.get(person, ()), (entry.at, crew))
            case body:
                shop.handovers = handover.with_entry(shop.handovers, entry, body)
                shop.notices = notices.with_entry(shop.notices, entry, body)
    return shop


def _copied(shop: Shop) -> Shop:
    """A shop with rooms of its own: whoever holds the old one sees no change."""
    rooms: dict[str, Any] = {
        one.name: dict(room) for one in fields(shop) if isinstance(room := getattr(shop, one.name), dict)
    }
    return replace(shop, **rooms)
