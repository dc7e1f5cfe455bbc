"""A shop in which a unit is soon at the load test, and the load test asks what the shipped one asks."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from tests.paint_shop import lay
from tests.small_shop import PLATE, SHEETS, WAY
from traveller.stationbook import load_stations
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role

START = datetime(2031, 3, 3, 6, 0, tzinfo=UTC)
RATINGS = {"supply_volts": 400.0, "phases": 3.0, "output_amps": 12.0}
BEFORE_POWER = ("guards", "second_person", "low_power_up", "low_power_run", "trips_proved")


def lay_way(folder: Path, **more: str) -> Path:
    """One check at each station, but the load test as it is shipped; `more` are further checks of a station."""
    folder.mkdir(exist_ok=True)
    for sheet in load_stations().book.sheets:
        if sheet.key == "load_test":
            lay(folder, '[station]\ndrop = ["reformed"]\n', sheet.key)
            continue
        text = SHEETS[sheet.key] + more.get(sheet.key, "")
        drop = ", ".join(f'"{check.key}"' for check in sheet.checks if f'key = "{check.key}"' not in text)
        lay(folder, f"[station]\ndrop = [{drop}]\n{text}", sheet.key)
    return folder


@dataclass
class HeatShop:
    url: str
    sheets: Path
    workshop: Workshop = field(repr=False)
    lead: str
    tester: str
    rig: str
    analyser: str
    thermometer: str
    now: datetime = START

    def clock(self) -> datetime:
        return self.now

    def later(self, minutes: float) -> datetime:
        self.now += timedelta(minutes=minutes)
        return self.now

    def at_load_test(self, serial: str = "A1", **ratings: float) -> str:
        """A unit that stands at the load test with nothing asked there yet."""
        plate = PLATE.model_copy(update={"serial": serial, "ratings": {**RATINGS, **ratings}})
        tag = self.workshop.book_in(self.lead, plate).unit.tag
        for check, text in WAY.items():
            station = check.partition(".")[0]
            if station == "load_test":
                break
            meter = [self.voltmeter] if check == "diagnosis.link" else []
            self.workshop.answer(tag, check, text, self.lead, meter)
            self.workshop.move_on(tag, self.lead)
        return tag

    voltmeter: str = ""

    def ready(self, tag: str) -> None:
        """Every check before full power is answered."""
        for key in BEFORE_POWER:
            self.workshop.answer(tag, f"load_test.{key}", "y", self.tester)

    def running(self, serial: str = "A1") -> str:
        tag = self.at_load_test(serial)
        self.ready(tag)
        self.workshop.heat_runs.plan(tag, self.rig, self.tester)
        self.workshop.heat_runs.start(tag, self.tester)
        return tag

    def terminal(self) -> Workshop:
        return Workshop.open(self.url, terminal="other", overlay=self.sheets, clock=self.clock)


def opened(url: str, folder: Path, **more: str) -> HeatShop:
    sheets = lay_way(folder / "sheets", **more)
    workshop = Workshop.open(url, terminal="rig room", overlay=sheets)
    register = workshop.registry
    every = [Role.LEAD, Role.TECHNICIAN, Role.INSPECTOR, Role.LOAD_TESTER, Role.DISPATCH]
    lead = register.enrol("Ines Okoro", every, "2468")
    tester = register.enrol("Bram Adeyemi", [Role.LOAD_TESTER], "2468", by=lead)
    rig = register.register_rig("Rig 1", lead, 500, 48, 22e3, ["motor"])
    due = date(2090, 1, 1)
    analyser = register.register_instrument("Analyser 1", "power analyser", due, lead)
    thermometer = register.register_instrument("Thermometer 1", "thermometer", due, lead)
    shop = HeatShop(url, sheets, workshop, lead, tester, rig, analyser, thermometer)
    shop.voltmeter = register.register_instrument("Voltmeter 1", "voltmeter", due, lead)
    workshop.desk.clock = shop.clock
    return shop
