"""A shop with a folder of its own that asks one thing at each station, so that a unit is soon through."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime
from pathlib import Path

from tests.paint_shop import lay
from traveller.record.entries import Nameplate
from traveller.record.view import UnitView
from traveller.stationbook import load_stations
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role, UnitKind

PIN = "2468"
NOW = datetime(2031, 3, 3, 6, 0, tzinfo=UTC)

SEEN = """
[[check]]
key = "seen"
ask = "Seen from outside?"
kind = "tick"
"""
PHOTO = """
[[check]]
key = "photo"
ask = "Photo from outside"
kind = "photo"
required = false
"""
LINK = """
[[check]]
key = "link"
ask = "Volts of the link"
kind = "reading"
unit = "V"
plausible = [0, 1500]
limit = { at_most = 60, source = "example" }
instrument = "voltmeter"
presumed = true
raises = "stored_charge"
clears = "stored_charge"
"""
CLEANED = """
[[check]]
key = "cleaned"
ask = "Flux cleaned off?"
kind = "tick"
"""
JOINTS = """
[[check]]
key = "joints"
ask = "All joints seen?"
kind = "tick"
"""
WARM = """
[[check]]
key = "warm"
ask = "Ran warm without a trip?"
kind = "tick"
"""
PACKED = """
[[check]]
key = "packed"
ask = "Packed?"
kind = "tick"
"""
SHEETS = {
    "goods_in": SEEN + PHOTO,
    "diagnosis": LINK,
    "component_work": CLEANED,
    "inspection": JOINTS,
    "load_test": WARM,
    "dispatch": PACKED,
}
WAY = {
    "goods_in.seen": "y",
    "diagnosis.link": "4",
    "component_work.cleaned": "y",
    "inspection.joints": "y",
    "load_test.warm": "y",
    "dispatch.packed": "y",
}
"""What is answered on the way, in its order."""

PLATE = Nameplate(
    unit_kind=UnitKind.AC_DRIVE,
    maker="Sorrel",
    model="D7",
    serial="A1",
    customer="Mill",
    fault="dead",
    promised=date(2031, 4, 1),
)


def lay_sheets(folder: Path, **changed: str) -> Path:
    """The small sheets as a workshop's own folder; `changed` gives a station other text."""
    folder.mkdir(exist_ok=True)
    for sheet in load_stations().book.sheets:
        text = changed.get(sheet.key, SHEETS[sheet.key])
        drop = ", ".join(f'"{check.key}"' for check in sheet.checks if f'key = "{check.key}"' not in text)
        lay(folder, f"[station]\ndrop = [{drop}]\n{text}", sheet.key)
    return folder


@dataclass
class SmallShop:
    """A workshop on a database with its people and one voltmeter."""

    url: str
    sheets: Path
    workshop: Workshop = field(repr=False)
    lead: str
    technician: str
    inspector: str
    tester: str
    clerk: str
    voltmeter: str

    def terminal(self, name: str = "other", sheets: Path | None = None) -> Workshop:
        """One more terminal on the same database."""
        return Workshop.open(self.url, terminal=name, overlay=sheets or self.sheets, clock=lambda: NOW)

    def at(self, terminal: Workshop) -> SmallShop:
        """The same shop, seen from another terminal."""
        return replace(self, workshop=terminal)

    def __getstate__(self) -> dict[str, object]:
        """For a process of its own, which opens its own terminal."""
        return {**self.__dict__, "workshop": None}

    def booked(self, plate: Nameplate = PLATE) -> str:
        return self.workshop.book_in(self.technician, plate).unit.tag

    def who(self, check: str) -> str:
        hands = {"inspection": self.inspector, "load_test": self.tester, "dispatch": self.clerk}
        return hands.get(check.partition(".")[0], self.technician)

    def answer(self, tag: str, check: str, text: str) -> UnitView:
        used = [self.voltmeter] if check == "diagnosis.link" else []
        return self.workshop.answer(tag, check, text, self.who(check), used)

    def ready(self, plate: Nameplate = PLATE) -> str:
        """A unit that stands at dispatch, everything done: Q3 was fitted and verified, the gate is empty."""
        tag = self.booked(plate)
        for check, text in WAY.items():
            station = check.partition(".")[0]
            if station == "component_work":
                self.workshop.plan_work(tag, self.technician, ["Q3"], "transistor", "failed")
                self.workshop.fit(tag, "Q3", self.technician, "transistor")
            if station == "inspection":
                self.workshop.verify_work(tag, "Q3", self.inspector)
            self.answer(tag, check, text)
            if station != "dispatch":
                self.workshop.move_on(tag, self.who(check))
        assert self.workshop.unit(tag).reasons == []
        return tag


def opened(url: str, folder: Path) -> SmallShop:
    sheets = lay_sheets(folder / "sheets")
    return lay_people(url, sheets, Workshop.open(url, terminal="bench 1", overlay=sheets, clock=lambda: NOW))


def lay_people(url: str, sheets: Path, workshop: Workshop) -> SmallShop:
    register = workshop.registry
    lead = register.enrol("Ines Okoro", [Role.LEAD], PIN)
    technician = register.enrol("Tomasz Reyes", [Role.TECHNICIAN], PIN, by=lead)
    inspector = register.enrol("Hana Lindqvist", [Role.INSPECTOR], PIN, by=lead)
    tester = register.enrol("Bram Adeyemi", [Role.LOAD_TESTER], PIN, by=lead)
    clerk = register.enrol("Mira Castellan", [Role.DISPATCH], PIN, by=lead)
    voltmeter = register.register_instrument("Voltmeter 1", "voltmeter", date(2090, 1, 1), lead)
    return SmallShop(url, sheets, workshop, lead, technician, inspector, tester, clerk, voltmeter)
