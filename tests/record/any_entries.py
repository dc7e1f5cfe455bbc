"""Any sequence of entries at all: sensible ones, nonsense ones, corrections of whatever came up."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from uuid import UUID

from hypothesis import strategies as st
from uuid6 import uuid7

from tests.record.shop_floor import (
    ANNA,
    BEN,
    IDA,
    LEA,
    MORNING,
    NAMEPLATE,
    TAG,
    VOLTMETER,
    Traveller,
    amps,
    answered,
    may_leave,
    ready_for_work,
    volts,
)
from tests.record.three_stations import (
    AFTER_INSPECTION,
    CHARGE,
    CLEANED,
    DAMAGE,
    ENERGY,
    INSPECTED,
    OUTPUT,
    PHOTOS,
    REMARK,
    TAG_IN_HAND,
)
from traveller.judgement import Figure, Finding, Verdict
from traveller.quantities import Quantity
from traveller.record.answers import Answer, Calculated, Chosen, NotApplicable, Scanned, Ticked, Written
from traveller.record.carriage_entries import Package, Packed
from traveller.record.entries import (
    Asked,
    Body,
    BookedIn,
    ConcessionGranted,
    Decided,
    EditionsMoved,
    Entry,
    HazardCleared,
    HazardRaised,
    Held,
    Moved,
    NonconformityClosed,
    NonconformityRaised,
    Noted,
    Placed,
    Released,
    Replied,
    Resumed,
    SentBack,
    Withdrawn,
)
from traveller.record.finding_entries import AuthorityGiven, AuthorityRefused, Investigated
from traveller.record.handover_entries import NoteSeen
from traveller.record.heat_runs.channels import Channel
from traveller.record.heat_runs.hold import Piece
from traveller.record.heat_runs.plan import Plan, Step
from traveller.record.inspection_entries import JointClass, JointsSeen
from traveller.record.moisture_entries import BagClosed, BagOpened, PartsBaked
from traveller.record.parts_entries import Part, PartAdded, PartHeadersLearned, PartKind, PartsListed
from traveller.record.photo_entries import PhotoTaken
from traveller.record.return_entries import Returned
from traveller.record.run_entries import (
    FaultSettled,
    ReadingsTaken,
    RunJudged,
    RunPlanned,
    RunStarted,
    RunStopped,
    SamplesKept,
)
from traveller.record.runs_entries import RunsCounted, RunTakenBack
from traveller.record.shop_entries import PersonLeft, ShopNamed
from traveller.record.sibling_entries import SiblingsMeasured, TraceTaken
from traveller.record.work_entries import WorkFitted, WorkPlanned, WorkRejected, WorkStruck, WorkVerified
from traveller.vocabulary import HazardKind, UnitKind

people = st.sampled_from([ANNA, BEN, IDA, LEA])
stations = st.sampled_from(["goods_in", "component_work", "dispatch", "nowhere"])
references = st.sampled_from(["Q3", "C17"])
some = st.lists(references, min_size=1, max_size=2, unique=True).map(tuple)
levels = st.sampled_from(["1", "3", "6"])
hours = st.sampled_from([None, 0.0, 24.0, 168.0])
parts = st.builds(
    Part,
    reference=references,
    kind=st.sampled_from(PartKind),
    matched_set=st.sampled_from(["", "Power stage", "power-stage"]),
    drives=st.sampled_from([(), ("Q3",)]),
)
hazards = st.sampled_from(HazardKind)

ticks = st.builds(Ticked, yes=st.booleans())
ANSWERS: dict[str, st.SearchStrategy[Answer]] = {
    CHARGE: st.builds(volts, st.sampled_from([0.0, 59.9, 60.0, 400.0])),
    DAMAGE: st.builds(Chosen, option=st.sampled_from(["none", "dirty", "broken"])),
    PHOTOS: ticks,
    REMARK: st.just(Written(text="a remark")),
    OUTPUT: st.one_of(st.builds(amps, st.sampled_from([9.4, 9.5, 20.0])), st.just(NotApplicable(reason="none fitted"))),
    CLEANED: ticks,
    ENERGY: st.just(Calculated(inputs={})),
    INSPECTED: ticks,
    AFTER_INSPECTION: ticks,
    TAG_IN_HAND: st.sampled_from([Scanned(tag="U000001X"), Scanned(tag="U000002X")]),
}

instruments = st.sampled_from([(), (VOLTMETER,), (VOLTMETER.model_copy(update={"calibration_due": date(2031, 3, 2)}),)])
nameplates = st.sampled_from(
    [
        NAMEPLATE,
        NAMEPLATE.model_copy(update={"ratings": {}}),
        NAMEPLATE.model_copy(update={"ratings": {"output_amps": 20.0}}),
        NAMEPLATE.model_copy(update={"unit_kind": UnitKind.CIRCUIT_BOARD}),
    ]
)
editions = st.sampled_from([{}, {"goods_in": "1-0", "nowhere": "2-0"}])


NOBODY = UUID(int=0)
PLAN = Plan(
    steps=(Step(percent=100, minutes=60, what="hold"),),
    channels=(Channel(name="U", quantity="current", rated=10, load=True),),
    band_percent=5,
    reading_minutes=10,
    gap_minutes=15,
    criterion="2 K per hour, twice",
    hot_above=60,
    dead_minutes=20,
)
moments = st.sampled_from([MORNING, MORNING + timedelta(minutes=5), MORNING - timedelta(days=1)])
RUNS: st.SearchStrategy[Body] = st.one_of(
    st.builds(RunPlanned, plan=st.just(PLAN), rig=st.just("R000001X"), run=st.sampled_from([None, NOBODY])),
    st.builds(RunStarted, run=st.just(NOBODY), started=moments),
    st.builds(ReadingsTaken, run=st.just(NOBODY), taken=moments, values=st.just({"U": 10.0})),
    st.builds(
        SamplesKept,
        run=st.just(NOBODY),
        number=st.integers(1, 3),
        begins=moments,
        ends=moments,
        count=st.just(1),
        sha256=st.just("0"),
        channels=st.just(()),
        piece=st.just(Piece(begins=0, ends=1)),
    ),
    st.builds(FaultSettled, run=st.just(NOBODY), fault=st.just("gap"), how=st.just("seen")),
    st.builds(RunStopped, run=st.just(NOBODY), stopped=moments, why=st.just("done")),
    st.builds(RunJudged, run=st.just(NOBODY), verdict=st.sampled_from(Verdict), parts=st.just(())),
)
devices = st.lists(st.sampled_from(["Q1", "Q2", "Q3", "Q4"]), min_size=1, max_size=5).map(tuple)
quantities = st.sampled_from(
    [
        Quantity(value=0.42, unit="V"),
        Quantity(value=0.0, unit="Ω"),
        Quantity(value=float("inf"), unit="V", bound="overrange"),
    ]
)
suspects: st.SearchStrategy[float | str] = st.sampled_from(["none", 1.0, 4.0, 9.0, -1.0, float("nan")])
findings = st.builds(
    lambda verdict, suspect: Finding(
        verdict=verdict, says="reading 4 is the odd one out", values=(Figure(name="suspect", value=suspect),)
    ),
    st.sampled_from(Verdict),
    suspects,
)
MEASURED: st.SearchStrategy[Body] = st.one_of(
    st.builds(
        SiblingsMeasured,
        set_name=st.sampled_from(["power stage", "Power  Stage"]),
        row=st.sampled_from(["diode C-E", "leakage"]),
        unit=st.sampled_from(["V", "Ω"]),
        devices=devices,
        readings=st.lists(quantities, min_size=1, max_size=6).map(tuple),
        tolerance=st.just(5.0),
        finding=findings,
    ),
    st.builds(
        TraceTaken,
        node=st.sampled_from(["U7.3", "U8.1"]),
        role=st.sampled_from(["good", "suspect"]),
        points=st.sampled_from([((0.0, 0.0), (1.0, 0.001)), ((1.0, 0.0), (0.0, 0.0), (1.0, 0.0))]),
        taken=st.just(2),
        sha256=st.sampled_from(["a", "b", "c"]),
    ),
    st.builds(
        RunsCounted,
        test=st.sampled_from(["warm start", "Warm Start "]),
        runs=st.sampled_from([1, 20, 100_000]),
        failures=st.integers(0, 30),
        clean_since=st.integers(0, 30),
    ),
    st.builds(RunTakenBack, test=st.just("warm start"), counted=st.just(NOBODY), failed=st.booleans()),
)
checks = st.sampled_from(["", *ANSWERS, "goods_in.unknown"])
PLAIN: st.SearchStrategy[Body] = st.one_of(
    st.builds(BookedIn, nameplate=nameplates, station=stations, editions=editions),
    st.builds(Noted, text=st.just("a note")),
    st.builds(Noted, text=st.just("a note"), watch=st.just("the fan"), for_whom=st.sampled_from([(), ("A",), (ANNA,)])),
    st.builds(NoteSeen, note=st.just(NOBODY)),
    st.builds(Asked, text=st.just("why?")),
    st.builds(Replied, question=st.just(NOBODY), text=st.just("because")),
    st.builds(Moved, station=stations),
    st.builds(
        SentBack, station=stations, found=st.just("a joint"), check=checks, known=st.sampled_from([None, NOBODY])
    ),
    st.builds(Placed, place=st.just("S-1")),
    st.builds(Held, reason=st.just("parts"), look_again=st.just(date(2031, 4, 1))),
    st.builds(Resumed),
    st.builds(HazardRaised, hazard=hazards, detail=st.just("seen")),
    st.builds(HazardCleared, hazard=hazards, how=st.just("measured")),
    st.builds(
        WorkPlanned,
        reference=references,
        part=st.just("part"),
        reason=st.just("failed"),
        action=st.sampled_from(["replace", "check"]),
    ),
    st.builds(WorkFitted, reference=references, fitted=st.just("part")),
    st.builds(WorkVerified, reference=references),
    st.builds(WorkRejected, reference=references, why=st.just("cold joint")),
    st.builds(WorkStruck, reference=references, why=st.just("not needed")),
    st.builds(PhotoTaken, of=checks, pictures=st.sampled_from([("0" * 64,), ("1" * 64, "2" * 64)])),
    st.builds(
        Investigated,
        root_cause=st.just("heat"),
        hours=st.sampled_from([Decimal(1), Decimal("2.5")]),
        rate=st.just(Decimal(80)),
        parts_cost=st.sampled_from([Decimal(0), Decimal("19.99")]),
        currency=st.sampled_from(["EUR", "CHF"]),
        advice=st.sampled_from(["repair", "wait for authority", "beyond economic repair"]),
    ),
    st.builds(
        AuthorityGiven,
        who=st.just("Ms Thorne"),
        how=st.just("by mail"),
        on=st.just(date(2031, 3, 3)),
        up_to=st.sampled_from([Decimal(100), Decimal(200)]),
        currency=st.just("EUR"),
    ),
    st.builds(AuthorityRefused, who=st.just("Ms Thorne"), how=st.just("by mail"), on=st.just(date(2031, 3, 3))),
    st.builds(JointsSeen, joint_class=st.sampled_from(JointClass), opportunities=st.integers(0, 400)),
    st.builds(PartsListed, parts=st.lists(parts, min_size=1, max_size=3).map(tuple), origin=st.just("a file")),
    st.builds(PartAdded, part=parts),
    st.builds(BagOpened, references=some, msl=levels, floor_life_h=hours, used_h=st.sampled_from([0.0, 30.0])),
    st.builds(BagClosed, references=some),
    st.builds(
        PartsBaked,
        references=some,
        hours=st.just(9.0),
        oven=st.just("125"),
        finding=st.just(Finding(verdict=Verdict.FAIL, says="bake it")),
    ),
    st.builds(NonconformityRaised, found=st.just("a scratch"), check=checks),
    st.builds(NonconformityClosed, nonconformity=st.just(NOBODY), how=st.just("polished")),
    st.builds(
        ConcessionGranted,
        nonconformity=st.just(NOBODY),
        reason=st.just("cosmetic"),
        customers_word=st.just("by letter"),
        answer=st.sampled_from([None, NOBODY]),
    ),
    st.builds(Decided, outcome=st.sampled_from(["repair", "scrap"]), reason=st.just("cost")),
    st.builds(EditionsMoved, editions=editions, reason=st.just("new sheets")),
    st.builds(Released, statement=st.just("done"), outcome=st.just("repair"), digest=st.just("0")),
    st.builds(Withdrawn),
    st.builds(
        Returned,
        earlier=st.just(TAG),
        seal=st.just("0"),
        released_on=st.dates(),
        fault=st.sampled_from(["same", "other", "not known"]),
        covered=st.booleans(),
        until=st.none(),
        reason=st.just("bleeder again"),
    ),
    st.builds(
        Packed,
        scanned=st.just(TAG),
        packages=st.just((Package(length_cm=50, width_cm=40, height_cm=30, weight_kg=8),)),
        packed_in=st.just("crate"),
        shielded=st.booleans(),
        wood=st.just("no raw wood"),
        addressee=st.just(("Example Mill",)),
        carrier=st.just("carrier"),
        consignment=st.just("1"),
    ),
    st.builds(PersonLeft, tag=people),
    st.builds(ShopNamed, name=st.just("Shop")),
    RUNS,
    MEASURED,
    st.builds(PartHeadersLearned, headers=st.just(("ref",)), columns=st.just({"ref": "reference"})),
)
"""Every kind of entry but answers; where one names another entry, the name is still to be given."""


def _plain(draw: st.DrawFn, known: list[UUID]) -> Body:
    body = draw(PLAIN)
    named = {name: draw(st.sampled_from(known)) for name, value in body if value == NOBODY}
    return body.model_copy(update=named)


def _answer(draw: st.DrawFn, entries: list[Entry]) -> Body:
    key = draw(st.sampled_from(list(ANSWERS)))
    body = answered(entries, key, draw(ANSWERS[key]), draw(instruments))
    changed_since = draw(st.integers(0, 9)) == 0
    return body.model_copy(update={"asks": "another edition"}) if changed_since else body


def _more(draw: st.DrawFn, traveller: Traveller, length: int) -> Traveller:
    later = uuid7()
    for _ in range(length):
        known = [entry.id for entry in traveller.entries]
        body = _answer(draw, traveller.entries) if draw(st.booleans()) else _plain(draw, [*known, later])
        aimed = isinstance(body, Withdrawn) or draw(st.integers(0, 3)) == 0
        traveller.enter(body, draw(people), draw(st.sampled_from([*known, later])) if aimed else None)
    return traveller


@st.composite
def any_travellers(draw: st.DrawFn) -> Traveller:
    """From nothing: mostly nonsense."""
    return _more(draw, Traveller(), draw(st.integers(0, 12)))


@st.composite
def measured_travellers(draw: st.DrawFn) -> Traveller:
    """A unit at work that is measured over and over, a part fitted now and then."""
    traveller = ready_for_work()
    fitted: st.SearchStrategy[Body] = st.just(WorkFitted(reference="Q3", fitted="transistor"))
    for body in draw(st.lists(MEASURED | fitted, min_size=1, max_size=8)):
        traveller.enter(body, draw(people))
    return traveller


@st.composite
def travellers_that_went_on(draw: st.DrawFn) -> Traveller:
    """From a unit that may leave, with up to eight further entries, so that the gate is now open, now shut."""
    return _more(draw, may_leave(), draw(st.integers(0, 8)))
