"""Booking a rig, freeing it, taking it out of use. Each looks at the shop as it is and proposes its entries."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from traveller.errors import InputError, Refused
from traveller.record.acts.rights import need_role, need_words
from traveller.record.entries import Body
from traveller.record.rig_entries import RigBooked, RigFreed
from traveller.record.rigs import Booking, clash, on_rig
from traveller.record.shop import Person, Shop
from traveller.record.shop_entries import RigRegistered
from traveller.vocabulary import Role

BOOKERS = (Role.LOAD_TESTER, Role.LEAD)


def need_rig(shop: Shop, tag: str) -> RigRegistered:
    rig = shop.rigs.get(tag)
    if rig is None:
        known = ", ".join(shop.rigs) or "none is registered"
        raise Refused(f"{tag or 'Nothing'} is not a rig of this shop ({known}): scan the tag on the rig.")
    return rig


def book(
    shop: Shop, person: Person, rig: str, unit: str, begins: datetime, ends: datetime, now: datetime, note: str = ""
) -> list[Body]:
    """Keep a rig for a unit; refused when anybody has it for a part of that time."""
    need_role(person, "book a rig", *BOOKERS)
    there = need_rig(shop, rig)
    if ends <= begins:
        raise InputError("A booking ends after it begins: look at the two times.")
    if ends <= now:
        raise InputError(f"{ends:%Y-%m-%d %H:%M} UTC is over: book a time that is still to come.")
    if there.out_of_use:
        raise Refused(f"{there.name} is out of use: {there.out_of_use}. Take another rig.")
    if other := clash(shop.bookings, rig, begins, ends, now):
        raise Refused(f"{there.name} is not free then: {in_words(other, now)}. Take another time or rig.")
    return [RigBooked(rig=rig, unit=unit, begins=begins, ends=ends, note=note.strip())]


def in_words(one: Booking, now: datetime) -> str:
    """Whose booking it is and until when, in UTC."""
    doing = "in use by" if one.in_use() else "booked for"
    return f"{doing} {one.unit} from {one.begins:%Y-%m-%d %H:%M} to {one.last(now):%Y-%m-%d %H:%M} UTC"


def free(shop: Shop, person: Person, rig: str, unit: str, now: datetime, why: str = "") -> list[Body]:
    """Give back what is booked of a rig for a unit; a rig that runs is freed by stopping the run."""
    need_role(person, "free a rig", *BOOKERS)
    need_rig(shop, rig)
    there = [one for one in on_rig(shop.bookings, rig, now) if one.unit == unit]
    if not there:
        raise Refused(f"Nothing of {rig} is booked for {unit}: `traveller rig list` shows what is.")
    if any(one.in_use() for one in there):
        raise Refused(f"{unit} runs on {rig}: stop the run, and the rig is free.")
    return [RigFreed(booking=one.id, why=why.strip()) for one in there]


def freed(shop: Shop, booking: UUID | None, why: str) -> list[Body]:
    """What frees the rig of a run that has ended."""
    known = shop.bookings.get(booking) if booking else None
    return [RigFreed(booking=known.id, why=why)] if known and known.freed is None else []


def set_state(shop: Shop, person: Person, rig: str, out_of_use: str) -> list[Body]:
    """Take a rig out of use and say why, or with no reason put it back."""
    need_role(person, "take a rig out of use", *BOOKERS)
    there = need_rig(shop, rig)
    if not out_of_use.strip() and not there.out_of_use:
        raise Refused(f"{there.name} is fit for use already.")
    why = need_words(out_of_use, "why the rig is out of use", most=400) if out_of_use.strip() else ""
    return [there.model_copy(update={"out_of_use": why})]
