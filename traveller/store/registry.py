"""The shop's own register: its people and their PINs, instruments, rigs, shelves."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from math import inf

from sqlalchemy import Connection

from traveller.errors import InputError, Refused
from traveller.record.acts.rig import need_rig
from traveller.record.acts.rights import need_instrument, need_role
from traveller.record.shifts import need_zone
from traveller.record.shop import Person, Shop
from traveller.record.shop_entries import (
    InstrumentRegistered,
    InstrumentUsed,
    PersonEnrolled,
    PersonLeft,
    RigRegistered,
    ShelfRegistered,
    ShopNamed,
)
from traveller.store import counters, pins
from traveller.store.desk import Desk
from traveller.store.engine import writing
from traveller.store.keeping import Keeping
from traveller.tags import TagKind, make_tag
from traveller.vocabulary import Role

FOUNDER = "FOUNDING"


def new_tag(connection: Connection, kind: TagKind) -> str:
    """The next tag of a kind; numbers that have no usable check character are passed over."""
    while True:
        tag = make_tag(kind, counters.take(connection, f"tag {kind.letter}"))
        if tag:
            return tag


def need_name(text: str) -> str:
    """The name without blanks around it; InputError unless it has 1 to 120 characters."""
    name = text.strip()
    if not 1 <= len(name) <= 120:
        raise InputError("A name has 1 to 120 characters: type it again.")
    return name


def need_figures(**figures: float) -> None:
    """InputError unless each is a number that is not below zero."""
    for name, value in figures.items():
        if not 0 <= value < inf:
            raise InputError(f"{name.replace('_', ' ')} is {value:g}: type a number that is not below zero.")


class Registry:
    """Changes to the shop itself. While the shop has no people, anybody may enrol the first."""

    def __init__(self, desk: Desk, keeping: Keeping) -> None:
        self._desk = desk
        self._keeping = keeping

    @contextmanager
    def _writing(self) -> Iterator[Connection]:
        with self._keeping.needing("The register"), writing(self._desk.engine) as connection:
            yield connection

    def name_shop(self, name: str, zone: str, by: str = FOUNDER, demo: bool = False, address: str = "") -> Shop:
        zone = need_zone(zone)
        with self._writing() as connection:
            self._need_lead(connection, by)
            named = ShopNamed(name=need_name(name), zone=zone, demo=demo, address=address.strip())
            return self._desk.enter_for_shop(connection, by, named)

    def found(self, name: str, zone: str, lead: str, pin: str) -> Person:
        """Name an empty shop and enrol its first person, who may do everything; all of it or nothing."""
        zone = need_zone(zone)
        with self._writing() as connection:
            if self._desk.shop(connection).people:
                raise Refused("This shop has its people already: scan a badge, or ask a shift lead to enrol you.")
            tag = new_tag(connection, TagKind.PERSON)
            pins.set_pin(connection, tag, pin, self._desk.clock())
            named = ShopNamed(name=need_name(name), zone=zone)
            enrolled = PersonEnrolled(tag=tag, name=need_name(lead), roles=tuple(Role))
            return self._desk.enter_for_shop(connection, FOUNDER, named, enrolled).people[tag]

    def enrol(self, name: str, roles: Sequence[Role], pin: str, by: str = FOUNDER) -> str:
        """A new person; returns the tag of the badge."""
        if not roles:
            raise InputError(f"Give {name} at least one role: {', '.join(Role)}.")
        with self._writing() as connection:
            self._need_lead(connection, by)
            if Role.LEAD not in roles and not self._desk.shop(connection).people:
                raise Refused("The first person of a shop has to be a shift lead, or nobody can enrol the next.")
            tag = new_tag(connection, TagKind.PERSON)
            pins.set_pin(connection, tag, pin, self._desk.clock())
            self._desk.enter_for_shop(connection, by, PersonEnrolled(tag=tag, name=need_name(name), roles=tuple(roles)))
            return tag

    def set_pin(self, person: str, pin: str, by: str) -> None:
        with self._writing() as connection:
            self._need_lead(connection, by)
            self._person(connection, person)
            pins.set_pin(connection, person, pin, self._desk.clock())

    def leave(self, person: str, by: str) -> Shop:
        with self._writing() as connection:
            self._need_lead(connection, by)
            going = self._person(connection, person)
            if [one.tag for one in self._desk.shop(connection).present() if one.may(Role.LEAD)] == [going.tag]:
                raise Refused(f"{going.name} is the only shift lead: enrol the next one first.")
            return self._desk.enter_for_shop(connection, by, PersonLeft(tag=person))

    def register_instrument(
        self,
        name: str,
        instrument_class: str,
        calibration_due: date,
        by: str,
        percent: float = 0.0,
        absolute: float = 0.0,
        tag: str = "",
    ) -> str:
        """A new instrument, or with `tag` the next calibration of one; returns its tag."""
        need_figures(uncertainty_in_percent=percent, fixed_uncertainty=absolute)
        with self._writing() as connection:
            self._need_lead(connection, by)
            if tag:
                need_instrument(self._desk.shop(connection), tag)
            instrument = InstrumentUsed(
                tag=tag or new_tag(connection, TagKind.INSTRUMENT),
                name=need_name(name),
                instrument_class=instrument_class,
                calibration_due=calibration_due,
                percent=percent,
                absolute=absolute,
            )
            self._desk.enter_for_shop(connection, by, InstrumentRegistered(instrument=instrument))
            return instrument.tag

    def register_rig(
        self,
        name: str,
        by: str,
        max_volts: float = 0.0,
        max_amps: float = 0.0,
        max_power: float = 0.0,
        loads: Sequence[str] = (),
        tag: str = "",
    ) -> str:
        """A new rig, or with `tag` new figures of one; returns its tag."""
        need_figures(volts=max_volts, amps=max_amps, power=max_power)
        with self._writing() as connection:
            self._need_lead(connection, by)
            known = need_rig(self._desk.shop(connection), tag) if tag else None
            rig = RigRegistered(
                tag=tag or new_tag(connection, TagKind.RIG),
                name=need_name(name),
                max_volts=max_volts,
                max_amps=max_amps,
                max_power=max_power,
                loads=tuple(need_name(one) for one in loads),
                out_of_use=known.out_of_use if known else "",
            )
            self._desk.enter_for_shop(connection, by, rig)
            return rig.tag

    def register_shelf(self, name: str, by: str) -> str:
        with self._writing() as connection:
            self._need_lead(connection, by)
            tag = new_tag(connection, TagKind.SHELF)
            self._desk.enter_for_shop(connection, by, ShelfRegistered(tag=tag, name=need_name(name)))
            return tag

    def _person(self, connection: Connection, tag: str) -> Person:
        person = self._desk.shop(connection).people.get(tag)
        if person is None:
            raise Refused(f"{tag} is not a person of this shop: scan the badge.")
        return person

    def _need_lead(self, connection: Connection, by: str) -> None:
        shop = self._desk.shop(connection)
        if shop.people or by != FOUNDER:
            need_role(self._desk.need_person(shop, by), "change the register of the shop", Role.LEAD)
