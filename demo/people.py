"""The invented shop: its people and their crews, its instruments, rigs and shelves."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from traveller.errors import InputError
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role

SHOP_NAME = "Querfeld & Tamm Antriebstechnik, Oberlauingen"
ZONE = "Europe/Berlin"
PIN = "2468"

CYCLE_DAYS = 8
CREWS_BY_DAY = ("ADC", "ADC", "BAD", "BAD", "CBA", "CBA", "DCB", "DCB")
"""Who has the early, the late and the night shift on each day of the cycle; today is its second day."""

# name, crew, roles
PEOPLE: tuple[tuple[str, str, tuple[Role, ...]], ...] = (
    ("Marit Osei-Lindquist", "A", (Role.LEAD, Role.QUALITY, Role.INSPECTOR)),
    ("Tomasz Achterberg", "A", (Role.TECHNICIAN,)),
    ("Bram Okonjo", "A", (Role.LOAD_TESTER,)),
    ("Yuki Ferrante", "A", (Role.DISPATCH,)),
    ("Ngozi Halvorsen", "B", (Role.LEAD, Role.DISPATCH)),
    ("Duc Marchetti", "B", (Role.TECHNICIAN, Role.LOAD_TESTER)),
    ("Ilse Quintana", "B", (Role.INSPECTOR,)),
    ("Rafael Nowicki-Baum", "D", (Role.LEAD, Role.DISPATCH)),
    ("Leyla Sandström", "D", (Role.TECHNICIAN,)),
    ("Petra Vanjoki", "D", (Role.INSPECTOR, Role.QUALITY)),
    ("Samir Holloway", "D", (Role.LOAD_TESTER,)),
    ("Annika Tshabalala", "C", (Role.LEAD, Role.DISPATCH)),
    ("Emre Dubois", "C", (Role.TECHNICIAN, Role.LOAD_TESTER)),
    ("Chiara Wetzlaff", "C", (Role.INSPECTOR,)),
)

# name, class, days until the calibration runs out, U in percent of reading, U absolute in the reading's unit
INSTRUMENTS: tuple[tuple[str, str, int, float, float], ...] = (
    ("Bench multimeter 1", "multimeter", 118, 0.1, 0.002),
    ("Bench multimeter 2", "multimeter", 204, 0.1, 0.002),
    ("Insulation tester 1", "insulation tester", 88, 3.0, 0.0),
    ("Insulation tester 2 (old)", "insulation tester", -9, 5.0, 0.0),
    ("LCR meter 1", "lcr meter", 151, 0.5, 0.0),
    ("Oscilloscope 1", "oscilloscope", 240, 2.0, 0.001),
    ("Torque driver 1", "torque driver", 33, 4.0, 0.0),
    ("Low-ohm meter 1", "low-ohm meter", 75, 1.0, 0.002),
    ("Power analyser 1", "power analyser", 190, 0.3, 0.01),
    ("Thermometer 1", "thermometer", 101, 0.0, 0.5),
    ("Thermal camera 1", "thermal camera", 12, 0.0, 2.0),
    ("Tachometer 1", "tachometer", 130, 0.05, 1.0),
    ("Packing scale 1", "scale", 61, 0.1, 0.02),
)

RIGS = (("Rig 1, load motor 22 kW", 500.0, 48.0, 22e3), ("Rig 2, load motor 90 kW", 500.0, 180.0, 90e3))
SHELVES = ("Goods-in A1", "Goods-in A2", "Waiting W1", "Bench B3", "Finished F1", "Dispatch D1")


def crew_at(at: datetime, today: date) -> str:
    """The crew that is on: early from 6, late from 14, night from 22 o'clock local time."""
    local = at.astimezone(ZoneInfo(ZONE)) - timedelta(hours=6)
    return CREWS_BY_DAY[((local.date() - today).days + 1) % CYCLE_DAYS][local.hour // 8]


@dataclass
class Crew:
    """Tags of everybody and everything that was registered; `people` by tag: crew and roles."""

    today: date
    people: dict[str, tuple[str, tuple[Role, ...]]] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    instruments: dict[str, list[tuple[str, bool]]] = field(default_factory=dict)
    rigs: list[str] = field(default_factory=list)
    shelves: dict[str, str] = field(default_factory=dict)

    def who(self, roles: Iterable[Role], at: datetime, turn: int, avoid: Collection[str] = ()) -> str:
        """Somebody with one of the roles: of the crew that is on if it can; `turn` spreads the work."""
        able = [tag for tag, (_, has) in self.people.items() if tag not in avoid and any(role in has for role in roles)]
        on_shift = [tag for tag in able if self.people[tag][0] == crew_at(at, self.today)]
        if not able:
            raise InputError(f"The demo shop has nobody left for {', '.join(roles)}: enrol somebody in people.py.")
        chosen = on_shift or able
        return chosen[turn % len(chosen)]

    def instrument(self, instrument_class: str, turn: int, in_calibration: bool = True) -> str:
        fits = [tag for tag, good in self.instruments[instrument_class] if good is in_calibration]
        return fits[turn % len(fits)]


def open_shop(workshop: Workshop, today: date) -> Crew:
    """Name the shop and register everything in it; what only an overlay asks for is added."""
    register, crew = workshop.registry, Crew(today)
    leads = [one for one in PEOPLE if Role.LEAD in one[2]]
    others = [one for one in PEOPLE if Role.LEAD not in one[2]]
    register.name_shop(SHOP_NAME, ZONE, demo=True)
    lead = ""
    for name, of_crew, roles in (*leads, *others):
        tag = register.enrol(name, roles, PIN, by=lead) if lead else register.enrol(name, roles, PIN)
        lead = lead or tag
        crew.people[tag], crew.names[tag] = (of_crew, roles), name
    for name, its_class, days, percent, absolute in (*INSTRUMENTS, *_missing(workshop)):
        due = today + timedelta(days=days)
        tag = register.register_instrument(name, its_class, due, lead, percent=percent, absolute=absolute)
        crew.instruments.setdefault(its_class, []).append((tag, days > 0))
    for name, volts, amps, power in RIGS:
        crew.rigs.append(register.register_rig(name, lead, max_volts=volts, max_amps=amps, max_power=power))
    for name in SHELVES:
        crew.shelves[name] = register.register_shelf(name, lead)
    return crew


def _missing(workshop: Workshop) -> list[tuple[str, str, int, float, float]]:
    asked = {check.instrument for check in workshop.desk.stations.book.checks() if check.instrument}
    known = {its_class for _, its_class, *_ in INSTRUMENTS}
    return [(f"{one.capitalize()} 1", one, 140, 1.0, 0.0) for one in sorted(asked - known)]
