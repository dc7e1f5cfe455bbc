"""A unit that stands at diagnosis by the shipped sheets, and what is measured on it."""

from __future__ import annotations

from collections.abc import Sequence

from tests.record.shop_floor import ANNA, NAMEPLATE, PEOPLE, TAG, Traveller
from traveller.record.acts.answer import answer
from traveller.record.acts.siblings import measure_siblings
from traveller.record.answers import Chosen
from traveller.record.entries import BookedIn, Moved
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.siblings import last_work, suspicion
from traveller.record.view import UnitView, view
from traveller.record.work_entries import WorkFitted, WorkPlanned
from traveller.stationbook import load_stations
from traveller.vocabulary import UnitKind

STATIONS = load_stations()
SIX = ["Q1", "Q2", "Q3", "Q4", "Q5", "Q6"]


class Bench(Traveller):
    def __init__(self, kind: UnitKind = UnitKind.AC_DRIVE) -> None:
        super().__init__()
        plate = NAMEPLATE.model_copy(update={"unit_kind": kind})
        editions = {sheet.key: sheet.edition for sheet in STATIONS.book.sheets}
        self.enter(BookedIn(nameplate=plate, station="goods_in", editions=editions), ANNA)
        self.enter(Moved(station="diagnosis"), ANNA)

    @property
    def view(self) -> UnitView:
        return view(TAG, self.entries, STATIONS.book, STATIONS.judges)

    def measure(
        self,
        row: str,
        readings: str,
        unit: str = "V",
        devices: Sequence[str] = SIX,
        tolerance: float | None = None,
        meters: Sequence[InstrumentUsed] = (),
    ) -> None:
        who, name = PEOPLE[ANNA], "power stage"
        for one in measure_siblings(self.view, who, name, devices, row, unit, readings, tolerance, meters):
            self.enter(one.body, ANNA)

    def fit(self, reference: str) -> None:
        self.enter(WorkPlanned(reference=reference, part="IGBT", reason="failed"), ANNA)
        self.enter(WorkFitted(reference=reference, fitted="IGBT"), ANNA)

    def answer_here(self, check: str, option: str) -> None:
        for one in answer(self.view, PEOPLE[ANNA], check, Chosen(option=option)):
            self.enter(one.body, ANNA)

    def says(self) -> str:
        unit = self.view.unit
        return suspicion(unit.siblings["power stage"], last_work(unit.disturbances)).says
