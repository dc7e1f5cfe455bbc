"""A shop with one person of each role and a unit at every station, laid out once and copied for every act."""

from __future__ import annotations

import shutil
from dataclasses import dataclass, field, fields
from datetime import timedelta
from pathlib import Path
from typing import Self
from uuid import UUID

from PIL import Image

from demo.camera import power_stage, write_table
from tests.paint_shop import lay
from tests.pictures.made_files import file_of
from tests.small_shop import PIN, PLATE, SHEETS, WAY
from tests.store.heat_shop import RATINGS, START, HeatShop, lay_way
from tests.store.heat_shop import opened as heat_shop
from traveller.record.acts.handover import Wording
from traveller.record.handover_entries import Risk
from traveller.stationbook import StationBook, load_stations
from traveller.store.desk import Desk
from traveller.store.engine import open_engine
from traveller.store.workshop import Workshop
from traveller.vocabulary import HazardKind, Role, UnitKind

NOW = START + timedelta(minutes=5)
MEASURED = "".join(
    f'# key = "{key}"\n'
    for key in ("fault_seen", "siblings", "trace_compared", "trace_distance", "runs_made", "clean_runs")
)
"""The shipped checks of these keys, as they are."""


NONE = UUID(int=0)


@dataclass
class Prepared:
    """What there is in the shop: tags of units by where they stand, of things, of entries to answer."""

    folder: Path
    people: dict[Role, str]
    lead: str
    """Has every role that works; did all that is there already."""
    newcomer: str
    rig: str
    at: dict[str, str] = field(default_factory=dict)
    measured: str = ""
    running: str = ""
    planned: str = ""
    warm_rig: str = ""
    question: UUID = NONE
    note: UUID = NONE
    wrong: UUID = NONE
    shop_note: UUID = NONE
    shop_question: UUID = NONE
    quiet_item: int = 0
    live_item: int = 0


@dataclass
class Hands(Prepared):
    """One copy of the shop, and who acts in it."""

    workshop: Workshop = field(kw_only=True)
    by: str = field(kw_only=True)

    @classmethod
    def of(cls, prepared: Prepared, role: Role, copy: Path, stations: StationBook, folder: Path | None = None) -> Self:
        """`folder` is where the terminal keeps what it cannot share."""
        shutil.copy(prepared.folder / "record.sqlite", copy)
        here = Desk(open_engine(f"sqlite:///{copy}"), stations, "bench", lambda: NOW)
        known = {one.name: getattr(prepared, one.name) for one in fields(Prepared)}
        return cls(**known, workshop=Workshop(here, folder), by=prepared.people[role])

    def file(self, name: str) -> str:
        return str(self.folder / name)


def laid_out(folder: Path) -> tuple[Prepared, StationBook]:
    """The shop, and the sheets that it works by."""
    shop = heat_shop(f"sqlite:///{folder / 'record.sqlite'}", folder)
    register = shop.workshop.registry
    people = {role: register.enrol(f"Only {role.label}", [role], PIN, by=shop.lead) for role in Role}
    newcomer = register.enrol("Noor Veldkamp", [Role.TECHNICIAN], PIN, by=shop.lead)
    made = Prepared(folder, people, shop.lead, newcomer, shop.rig)
    _files(folder)
    _units(shop, made)
    _on_the_bench(shop, made)
    _runs(shop, made)
    _said(shop, made)
    _handed_over(shop, made)
    shop.workshop.close()
    return made, load_stations(folder / "measured")


def _files(folder: Path) -> None:
    (folder / "parts.csv").write_text("Designator,Kind,Value\nC1,electrolytic,470u\n", encoding="utf-8")
    (folder / "trace.csv").write_text("".join(f"{v / 10};{v * v / 100}\n" for v in range(11)), encoding="utf-8")
    (folder / "photo.png").write_bytes(file_of(Image.new("RGB", (64, 48), "grey"), "PNG"))
    write_table(folder / "warm.csv", power_stage())


def _units(shop: HeatShop, made: Prepared) -> None:
    """A unit at every station but the last."""
    for station in ("goods_in", "diagnosis", "component_work", "inspection", "load_test"):
        tag = shop.workshop.book_in(
            shop.lead, PLATE.model_copy(update={"serial": f"at {station}", "ratings": RATINGS})
        ).unit.tag
        made.at[station] = tag
        for check, text in WAY.items():
            if check.startswith(station):
                break
            meter = [shop.voltmeter] if check == "diagnosis.link" else []
            shop.workshop.answer(tag, check, text, shop.lead, meter)
            shop.workshop.move_on(tag, shop.lead)


def _on_the_bench(shop: HeatShop, made: Prepared) -> None:
    """Work lines in every state; what was measured."""
    tag, who, workshop = made.at["component_work"], shop.lead, shop.workshop
    workshop.parts.add(tag, "C1-C4", "electrolytic", who, value="470u")
    workshop.plan_work(tag, who, ["Q1", "Q3"], "transistor", "failed")
    workshop.fit(tag, "Q3", who, "transistor")
    other = Workshop.open(shop.url, terminal="bench 2", overlay=_measuring(made.folder), clock=lambda: NOW)
    board = PLATE.model_copy(update={"serial": "measured", "unit_kind": UnitKind.CIRCUIT_BOARD})
    made.measured = other.book_in(who, board).unit.tag
    other.answer(made.measured, "goods_in.seen", "y", who)
    other.move_on(made.measured, who)
    other.answer(made.measured, "diagnosis.fault_seen", "now and then", who)
    three = ["Q1", "Q2", "Q3"]
    other.measuring.siblings(made.measured, who, "power stage", "diode C-E", "0.42 0.41 0.43", devices=three, unit="V")
    other.measuring.trace(made.measured, who, "U7.3", "good", str(made.folder / "trace.csv"))
    other.measuring.trace(made.measured, who, "U7.3", "suspect", str(made.folder / "trace.csv"))
    other.measuring.runs(made.measured, who, "warm start", 400, 0)
    other.close()


def _measuring(folder: Path) -> Path:
    """Sheets by which diagnosis asks for what is measured there."""
    sheets = lay_way(folder / "measured")
    asked = MEASURED + SHEETS["diagnosis"]
    keys = (one.key for one in load_stations().book.sheets[1].checks)
    drop = ", ".join(f'"{key}"' for key in keys if f'key = "{key}"' not in asked)
    lay(sheets, f"[station]\ndrop = [{drop}]\n{asked}", "diagnosis")
    return sheets


def _runs(shop: HeatShop, made: Prepared) -> None:
    register = shop.workshop.registry
    made.warm_rig = register.register_rig("Rig 2", shop.lead, 500, 48, 22e3, ["motor"])
    third = register.register_rig("Rig 3", shop.lead, 500, 48, 22e3, ["motor"])
    for rig, starts in ((made.warm_rig, True), (third, False)):
        tag = shop.at_load_test(f"on {rig}")
        shop.ready(tag)
        shop.workshop.heat_runs.plan(tag, rig, shop.tester)
        if starts:
            made.running = tag
            shop.workshop.heat_runs.start(tag, shop.tester)
        else:
            made.planned = tag


def _said(shop: HeatShop, made: Prepared) -> None:
    """Notes, questions, a nonconformity, a hazard, by somebody else than who acts."""
    tag, who, workshop = made.at["diagnosis"], shop.lead, shop.workshop
    made.note = workshop.note(tag, who, "oil on the fan").entries[-1].id
    made.question = workshop.ask(tag, who, "keep the fan?").entries[-1].id
    made.wrong = workshop.raise_nonconformity(tag, who, "scratch on the lid").entries[-1].id
    workshop.raise_hazard(tag, HazardKind.HOT, who, "heat sink")
    made.shop_note = next(iter(workshop.notices.note(who, "the lift is out of use").notices.notes))
    made.shop_question = next(iter(workshop.notices.ask(who, "who has the torque driver?").notices.questions))


def _handed_over(shop: HeatShop, made: Prepared) -> None:
    given = shop.workshop.handovers.prepare(shop.lead, Wording(words="as it stands", receiver=made.newcomer))
    live = {one.risk is Risk.LIVE: one.number for one in given.body.items}
    made.live_item, made.quiet_item = live[True], live[False]
