"""A small shop that the screens are tried on: one of everything that can be scanned, and units on the way."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from tests.way.hands import Hands, at_terminal
from traveller.record.entries import Nameplate
from traveller.screens.app import TravellerApp
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role, UnitKind

PIN = "2468"
RATINGS = {"supply_volts": 400.0, "phases": 3.0, "output_amps": 12.0, "dc_link_capacitance": 470e-6}


def plate(kind: UnitKind, serial: str) -> Nameplate:
    return Nameplate(
        unit_kind=kind,
        maker="Norrfeld",
        model="NF-22",
        serial=serial,
        customer="Sandbeck Packaging",
        fault="trips on overcurrent when warm, under load",
        promised=date(2031, 5, 2),
        ratings=RATINGS if kind is UnitKind.AC_DRIVE else {},
    )


@dataclass
class SmallShop:
    """The tags of all that is in it; `workshop` is another terminal's way into the same database."""

    url: str
    workshop: Workshop
    technician: str
    inspector: str
    meter: str
    late_meter: str
    shelf: str
    picture: Path

    def unit(self, kind: UnitKind = UnitKind.AC_DRIVE, serial: str = "8841-207") -> str:
        """A unit fresh from booking in."""
        return self.workshop.book_in(self.technician, plate(kind, serial)).unit.tag

    def terminal(
        self, size: tuple[int, int] = (80, 24), badge: str | None = None
    ) -> AbstractAsyncContextManager[Hands]:
        """A terminal of this shop that somebody has signed on at (nobody, if `badge` is empty)."""
        app = TravellerApp(self.url)
        app.settings = app.settings.model_copy(update={"station": "goods_in"})
        return at_terminal(app, self.technician if badge is None else badge, size, str(self.picture))

    @property
    def lead(self) -> str:
        return next(one.tag for one in self.workshop.shop().present() if one.may(Role.LEAD))

    @asynccontextmanager
    async def looking_at(self, serial: str) -> AsyncIterator[Hands]:
        """The technician at a terminal, a unit of that serial number just booked in and scanned."""
        tag = self.unit(serial=serial)
        async with self.terminal() as hands:
            await hands.scan(tag)
            yield hands


def lay_out(folder: Path) -> SmallShop:
    url = f"sqlite:///{folder / 'shop.sqlite'}"
    workshop = Workshop.open(url, terminal="next door")
    registry = workshop.registry
    lead = registry.enrol("Ines Okoro", [Role.LEAD, Role.TECHNICIAN], PIN)
    technician = registry.enrol("Tomasz Reyes", [Role.TECHNICIAN], PIN, by=lead)
    inspector = registry.enrol("Hana Lindqvist", [Role.INSPECTOR], PIN, by=lead)
    meter = registry.register_instrument("meter 1", "multimeter", date(2090, 1, 1), lead)
    late_meter = registry.register_instrument("meter 2", "lcr meter", date(2020, 1, 1), lead)
    shelf = registry.register_shelf("shelf A3", lead)
    return SmallShop(url, workshop, technician, inspector, meter, late_meter, shelf, folder / "none.png")
