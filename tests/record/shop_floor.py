"""The people of a small workshop, and the traveller of its one unit as it is written entry by entry."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

from uuid6 import uuid7

from tests.record.three_stations import (
    AFTER_INSPECTION,
    BOOK,
    CHARGE,
    CLEANED,
    DAMAGE,
    INSPECTED,
    JUDGES,
    OUTPUT,
    TAG_IN_HAND,
)
from tests.standing_of import standing_of
from traveller.judgement import Verdict
from traveller.quantities import Quantity
from traveller.record.acts.answer import raised
from traveller.record.answering import judge_answer
from traveller.record.answers import Answer, Chosen, Read, Scanned, Ticked
from traveller.record.entries import Answered, Body, BookedIn, Entry, HazardRaised, Moved, Nameplate
from traveller.record.shop import Person
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.unit import fold
from traveller.record.view import UnitView, view
from traveller.record.work_entries import WorkFitted, WorkPlanned, WorkVerified
from traveller.vocabulary import HazardKind, Role, UnitKind

TAG = "U000001X"
MORNING = datetime(2031, 3, 3, 6, 0, tzinfo=UTC)

ANNA, BEN = "P-ANNA", "P-BEN"  # technicians: they fit
IDA = "P-IDA"  # inspects, and never works on a unit
LEA = "P-LEA"  # shift lead

PEOPLE = {
    ANNA: Person(ANNA, "Anna", (Role.TECHNICIAN,)),
    BEN: Person(BEN, "Ben", (Role.TECHNICIAN, Role.INSPECTOR)),
    IDA: Person(IDA, "Ida", (Role.INSPECTOR, Role.DISPATCH)),
    LEA: Person(LEA, "Lea", (Role.LEAD,)),
}

VOLTMETER = InstrumentUsed(
    tag="I-1", name="Voltmeter", instrument_class="voltmeter", calibration_due=date(2032, 1, 1), absolute=0.5
)

NAMEPLATE = Nameplate(
    unit_kind=UnitKind.AC_DRIVE,
    maker="Example Works",
    model="D1",
    serial="1",
    customer="Example Mill",
    fault="dead",
    ratings={"output_amps": 10.0, "dc_link_capacitance": 0.001},
)


def volts(value: float) -> Read:
    return Read(reading=Quantity(value=value, unit="V"))


def amps(value: float) -> Read:
    return Read(reading=Quantity(value=value, unit="A"))


class Traveller:
    """The entries of one unit as they are written, an hour apart."""

    def __init__(self, entries: Iterable[Entry] = ()) -> None:
        self.entries: list[Entry] = list(entries)

    def enter(self, body: Body, by: str, corrects: Entry | UUID | None = None, because: str = "") -> Entry:
        self.entries.append(entered(self.entries, body, by, corrects, because))
        return self.entries[-1]

    def answer(
        self,
        key: str,
        answer: Answer,
        by: str,
        instruments: Sequence[InstrumentUsed] = (),
        corrects: Entry | None = None,
    ) -> Entry:
        """The answer goes straight onto the record: no act asks whether it may."""
        body = answered(self.entries, key, answer, instruments)
        return self.enter(body, by, corrects)

    @property
    def view(self) -> UnitView:
        return view(TAG, self.entries, BOOK, JUDGES)

    @property
    def why_shut(self) -> list[tuple[str, str]]:
        """Kind of each reason of the gate, with the state of the check that it names."""
        return [(reason.kind, self.state(reason.check) if reason.check else "") for reason in self.view.reasons]

    def latest(self, key: str) -> Entry:
        """The latest answer to a check."""
        return [one for one in self.entries if isinstance(one.body, Answered) and one.body.check == key][-1]

    def state(self, key: str) -> str:
        return str(standing_of(self.view, key).state)


def entered(
    entries: Sequence[Entry], body: Body, by: str, corrects: Entry | UUID | None = None, because: str = ""
) -> Entry:
    """The next entry behind `entries`: the next number, an hour later."""
    return Entry(
        id=uuid7(),
        subject=TAG,
        sequence=len(entries) + 1,
        at=MORNING + timedelta(hours=len(entries)),
        by=by,
        terminal="T-1",
        body=body,
        corrects=corrects.id if isinstance(corrects, Entry) else corrects,
        because=because,
    )


def answered(
    entries: Sequence[Entry], key: str, answer: Answer, instruments: Sequence[InstrumentUsed] = ()
) -> Answered:
    check = BOOK.check(key)
    assert check
    finding = judge_answer(check, answer, fold(TAG, entries), JUDGES, instruments)
    return Answered(
        check=key,
        station=check.station,
        edition="1-x",
        asks=check.digest,
        answer=answer,
        finding=finding,
        instruments=tuple(instruments),
        hazard_raised=raised(check, answer, finding),
        hazard_cleared=check.clears if finding.verdict is Verdict.PASS else None,
    )


def booked_in() -> Traveller:
    traveller = Traveller()
    editions = {sheet.key: sheet.edition for sheet in BOOK.sheets}
    traveller.enter(BookedIn(nameplate=NAMEPLATE, station="goods_in", editions=editions), ANNA)
    traveller.enter(HazardRaised(hazard=HazardKind.STORED_CHARGE, detail="presumed until measured"), ANNA)
    return traveller


def ready_for_work() -> Traveller:
    traveller = booked_in()
    traveller.answer(CHARGE, volts(12), ANNA, [VOLTMETER])
    traveller.answer(DAMAGE, Chosen(option="none"), ANNA)
    traveller.answer(OUTPUT, amps(10), ANNA)
    traveller.enter(Moved(station="component_work"), ANNA)
    return traveller


def may_leave() -> Traveller:
    """A unit on which everything is done: Anna fitted Q3, Ida looked at it, the gate is empty."""
    traveller = ready_for_work()
    traveller.enter(WorkPlanned(reference="Q3", part="transistor", reason="failed"), ANNA)
    traveller.enter(WorkFitted(reference="Q3", fitted="transistor"), ANNA)
    traveller.answer(CLEANED, Ticked(yes=True), ANNA)
    traveller.enter(Moved(station="dispatch"), ANNA)
    traveller.enter(WorkVerified(reference="Q3"), IDA)
    traveller.answer(INSPECTED, Ticked(yes=True), IDA)
    traveller.answer(AFTER_INSPECTION, Ticked(yes=True), IDA)
    traveller.answer(TAG_IN_HAND, Scanned(tag=TAG), IDA)
    return traveller
