"""Everything that can be asked of the workshop and everything that can be done in it.

Screens and commands call this and nothing below it. Reading returns immutable views; every act returns the
unit as it is afterwards, or raises one of `traveller.errors` with a sentence for the person.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, date, datetime
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Self
from uuid import UUID

from sqlalchemy import Engine

from traveller.errors import Away, InputError
from traveller.record.acts import answer as answering
from traveller.record.acts import remark, route
from traveller.record.acts.deeds import remarks, way, working
from traveller.record.acts.deeds.answering import Answering
from traveller.record.acts.fitting import LISTED, Figures
from traveller.record.acts.rights import Proposed
from traveller.record.entries import Nameplate, Outcome
from traveller.record.shop import Person, Shop
from traveller.record.view import UnitView
from traveller.record.work_entries import WorkReason
from traveller.stationbook import StationBook, all_judges, load_stations
from traveller.store import cards, exchange, journal, projection, returns, scanned, signing_on, vouched
from traveller.store.briefing import Briefing
from traveller.store.cards import Card
from traveller.store.desk import Desk, Scene
from traveller.store.engine import open_engine, reading, writing
from traveller.store.feed import Feed
from traveller.store.findings import FindingsDesk
from traveller.store.given import Typed, answer_given, instrument_tags, kept_answer
from traveller.store.handovers import Handovers
from traveller.store.heat_runs import HeatRuns
from traveller.store.inspection import InspectionDesk
from traveller.store.keeping import Keeping
from traveller.store.measuring import Measuring
from traveller.store.moisture import Bags
from traveller.store.notices import Notices
from traveller.store.parts import Parts
from traveller.store.photos import Photos, photos_typed, picture_files, pictured
from traveller.store.registry import Registry, new_tag
from traveller.store.rigs import Rigs
from traveller.store.scanned import Thing
from traveller.store.shifts import Shifts
from traveller.store.thermal import ThermalCamera
from traveller.tags import TagKind
from traveller.vocabulary import HazardKind

if TYPE_CHECKING:
    from traveller.store.figures import FigureBoard
    from traveller.store.papers import Papers

__all__ = ["Thing", "Typed", "Workshop", "utc_now"]


def utc_now() -> datetime:
    return datetime.now(UTC)


class Workshop:
    """One terminal's way into the shared database."""

    def __init__(self, desk: Desk, folder: Path | None = None) -> None:
        self.desk = desk
        self.keeping = Keeping(desk, folder)
        self.registry = Registry(desk, self.keeping)
        self.rigs = Rigs(desk, self.keeping)
        self.heat_runs = HeatRuns(desk, self.keeping)
        self.shifts, self.briefing = Shifts(desk, self.keeping), Briefing(desk, self.keeping)
        self.handovers, self.notices = Handovers(desk, self.keeping), Notices(self.keeping)
        self.thermal, self.photos = ThermalCamera(self.keeping), Photos(self.keeping)
        self.findings, self.inspection = FindingsDesk(self.keeping), InspectionDesk(self.keeping)
        self.measuring = Measuring(desk, self.keeping)
        self.parts = Parts(desk, self.keeping)
        self.bags = Bags(desk, self.keeping)
        self.returns = returns.Returns(desk, self.keeping)
        self.exchange = exchange.Exchange(desk)

    @classmethod
    def open(
        cls,
        url: str,
        *,
        terminal: str = "terminal",
        overlay: Path | None = None,
        clock: Callable[[], datetime] = utc_now,
        folder: Path | None = None,
    ) -> Self:
        """Open (and if it is new, lay out) the database at `url`; NotReachable says why when it cannot be.

        In `folder` the terminal keeps what is done while the database is away; without one nothing is kept.
        """
        stations = load_stations(overlay)
        return cls.behind(open_engine(url), stations, terminal=terminal, clock=clock, folder=folder)

    @classmethod
    def behind(
        cls,
        engine: Engine,
        stations: StationBook,
        *,
        terminal: str,
        clock: Callable[[], datetime] = utc_now,
        folder: Path | None = None,
    ) -> Self:
        """The workshop of a database that is open. It closes the engine, whatever becomes of it."""
        desk = Desk(engine, stations, terminal, clock)
        try:
            desk.editions.register()
            desk.refresh_cards()
        except BaseException:
            desk.engine.dispose()
            raise
        return cls(desk, folder)

    def load_judges(self) -> None:
        """SheetError says what is wrong with one that cannot be loaded."""
        all_judges(self.desk.stations)

    # Rarely needed and long to load: made when they are asked for.

    @cached_property
    def papers(self) -> Papers:
        from traveller.store.papers import Papers

        return Papers(self.desk, self.keeping)

    @cached_property
    def figures(self) -> FigureBoard:
        from traveller.store.figures import FigureBoard

        return FigureBoard(self.desk)

    @property
    def engine(self) -> Engine:
        return self.desk.engine

    def close(self) -> None:
        self.keeping.close()
        self.engine.dispose()

    def feed(self, on_change: Callable[[], None]) -> Feed:
        """Calls `on_change`, from a thread of its own, soon after anybody entered anything."""
        return Feed(self.engine, on_change)

    # ---- looking ----------------------------------------------------------------------------------------

    def shop(self) -> Shop:
        return self.keeping.shop()

    def today(self) -> date:
        return self.desk.today(self.shop())

    def unit(self, tag: str) -> UnitView:
        """While the database is away, as it was seen last, with what is kept here on top."""
        return self.keeping.unit(tag)

    def queue(self, station: str) -> list[Card]:
        """The units at a station that are not released, by promised date, held ones last."""
        return self.desk.look(f"queue {station}", lambda connection: cards.at_station(connection, station))

    def floor(self) -> list[Card]:
        return self.desk.look("floor", cards.in_work)

    def find(self, text: str) -> list[Card]:
        if not text.strip():
            raise InputError("Type a tag, a serial number, a customer, an order or a model to find.")
        with reading(self.engine) as connection:
            return cards.search(connection, text.strip())

    def seen_before(self, serial: str, maker: str) -> list[Card]:
        """Earlier and present travellers of the same serial number."""
        with reading(self.engine) as connection:
            return cards.by_serial(connection, serial, maker)

    def thing(self, text: str) -> Thing:
        """What a tag stands for in this shop; InputError says which character is wrong or what was meant."""
        try:
            return self.desk.look(f"tag {text}", lambda c: scanned.thing(c, self.desk.shop(c), text))
        except Away:
            return scanned.known_thing(self.shop(), self.desk.lately, text)

    # ---- signing on -------------------------------------------------------------------------------------

    def sign_on(self, text: str, pin: str | None = None) -> Person:
        """By badge scan alone, or by name (or the start of it) and PIN."""
        try:
            return signing_on.sign_on(self.desk, text, pin)
        except Away:
            return signing_on.by_badge(self.shop(), text)

    # ---- a unit's way -----------------------------------------------------------------------------------

    def book_in(self, by: str, nameplate: Nameplate) -> UnitView:
        with self.keeping.needing("Booking in"), writing(self.engine) as connection:
            person = self.desk.need_person(self.desk.shop(connection), by)
            proposed = route.book_in(person, nameplate, self.desk.stations.book)
            tag = new_tag(connection, TagKind.UNIT)
            view = self.desk.open_traveller(connection, tag, by, proposed)
        self.desk.committed(view)
        return view

    def correct_nameplate(self, tag: str, by: str, nameplate: Nameplate, because: str) -> UnitView:
        return self.keeping.shared(tag, by, lambda s: answering.correct_nameplate(s.view, s.person, nameplate, because))

    def answer(
        self,
        tag: str,
        check: str,
        typed: Typed,
        by: str,
        instruments: Sequence[str] = (),
        seen: UUID | bool | None = False,
        corrects: UUID | None = None,
        because: str = "",
    ) -> UnitView:
        """Answer a check with what was typed (fields of a calculation as a mapping, pictures and curves as paths)."""
        photos, tags = photos_typed(self._seen_last(tag), check, typed), instrument_tags(instruments)
        typed = pictured(photos) if photos else typed

        def decide(scene: Scene) -> Sequence[Proposed]:
            given, used = answer_given(scene.view, check, typed), scene.instruments(tags)
            return answering.answer(scene.view, scene.person, check, given, used, seen, corrects, because, scene.today)

        def keep(view: UnitView) -> Answering:
            return kept_answer(view, check, typed, tags, seen, corrects, because)

        return self.keeping.act(tag, by, decide, keep, picture_files(photos))

    def _seen_last(self, tag: str) -> UnitView:
        """Enough to know whether a check takes pictures: what the terminal shows need not be looked up again."""
        seen: UnitView | None = self.desk.lately.known(self.desk.unit_tag(tag))
        return seen or self.unit(tag)

    def withdraw(self, tag: str, entry: UUID, by: str, because: str) -> UnitView:
        return self.keeping.shared(tag, by, lambda s: answering.withdraw(s.view, s.person, entry, because))

    def move_on(self, tag: str, by: str) -> UnitView:
        return self.keeping.shared(tag, by, lambda s: route.move_on(s.view, s.person))

    def send_back(self, tag: str, station: str, by: str, found: str, check: str = "") -> UnitView:
        return self.keeping.shared(tag, by, lambda s: route.send_back(s.view, s.person, station, found, check))

    def place(self, tag: str, place: str, by: str) -> UnitView:
        return self.keeping.do(tag, by, way.Placing(place=place))

    def hold(self, tag: str, by: str, reason: str, look_again: date) -> UnitView:
        return self.keeping.do(tag, by, way.Holding(reason=reason, look_again=look_again))

    def resume(self, tag: str, by: str, note: str = "") -> UnitView:
        return self.keeping.do(tag, by, way.Resuming(note=note))

    def decide(self, tag: str, by: str, outcome: Outcome, reason: str, customers_word: str = "") -> UnitView:
        return self.keeping.shared(tag, by, lambda s: route.decide(s.view, s.person, outcome, reason, customers_word))

    def move_to_present_sheets(self, tag: str, by: str, reason: str) -> UnitView:
        book = self.desk.stations.book
        return self.keeping.shared(tag, by, lambda s: route.move_to_editions(s.view, s.person, book, reason))

    def release(self, tag: str, by: str, pin: str, statement: str) -> UnitView:
        """Sign the unit out. The chain of its entries is closed with its digest."""

        def decide(scene: Scene) -> Sequence[Proposed]:
            _, digest = journal.head(scene.connection, scene.view.unit.tag)
            return route.release(scene.view, scene.person, statement, digest)

        self.keeping.need_no_question(tag)
        with self.keeping.needing("The release"):
            signing_on.need_pin(self.desk, self.desk.need_person(self.shop(), by), pin)
        return self.keeping.shared(tag, by, decide, "The release")

    # ---- work lines -------------------------------------------------------------------------------------

    def plan_work(
        self,
        tag: str,
        by: str,
        references: Sequence[str],
        part: str,
        reason: WorkReason,
        matched_set: str = "",
        siblings: Sequence[str] = (),
    ) -> UnitView:
        return self.keeping.do(
            tag,
            by,
            working.Planning(
                references=tuple(references),
                part=part,
                reason=reason,
                matched_set=matched_set,
                siblings=tuple(siblings),
            ),
        )

    def fit(
        self, tag: str, reference: str, by: str, fitted: str, lot: str = "", offered: Figures = LISTED, anyway: str = ""
    ) -> UnitView:
        """A part is in; `offered` are the figures of a substitute, `anyway` why a worse one is fitted all the same."""
        deed = working.Fitting(reference=reference, fitted=fitted, lot=lot, offered=dict(offered), anyway=anyway)
        return self.keeping.do(tag, by, deed)

    def verify_work(self, tag: str, reference: str, by: str) -> UnitView:
        return self.keeping.do(tag, by, working.Verifying(reference=reference))

    def reject_work(self, tag: str, reference: str, by: str, why: str) -> UnitView:
        return self.keeping.do(tag, by, working.Rejecting(reference=reference, why=why))

    def strike_work(self, tag: str, reference: str, by: str, why: str) -> UnitView:
        return self.keeping.do(tag, by, working.Striking(reference=reference, why=why))

    # ---- remarks ----------------------------------------------------------------------------------------

    def note(
        self,
        tag: str,
        by: str,
        text: str,
        done: str = "",
        next_step: str = "",
        watch: str = "",
        for_whom: Sequence[str] = (),
    ) -> UnitView:
        """A note on a unit, in its parts, with who must see it."""
        whom = tuple(for_whom)
        return self.keeping.do(
            tag, by, remarks.Noting(text=text, done=done, next=next_step, watch=watch, for_whom=whom)
        )

    def ask(self, tag: str, by: str, text: str, to: str = "") -> UnitView:
        return self.keeping.do(tag, by, remarks.Asking(text=text, to=to))

    def reply(self, tag: str, question: UUID, by: str, text: str) -> UnitView:
        return self.keeping.do(tag, by, remarks.Replying(question=question, text=text))

    def raise_hazard(self, tag: str, hazard: HazardKind, by: str, detail: str) -> UnitView:
        return self.keeping.do(tag, by, remarks.RaisingHazard(hazard=hazard, detail=detail))

    def clear_hazard(self, tag: str, hazard: HazardKind, by: str, how: str) -> UnitView:
        return self.keeping.do(tag, by, remarks.ClearingHazard(hazard=hazard, how=how))

    def raise_nonconformity(self, tag: str, by: str, found: str, check: str = "") -> UnitView:
        return self.keeping.shared(tag, by, lambda s: remark.raise_nonconformity(s.view, s.person, found, check))

    def close_nonconformity(self, tag: str, which: UUID, by: str, how: str) -> UnitView:
        return self.keeping.shared(tag, by, lambda s: remark.close_nonconformity(s.view, s.person, which, how))

    def concede(self, tag: str, which: UUID, by: str, reason: str, customers_word: str) -> UnitView:
        return self.keeping.shared(tag, by, lambda s: remark.concede(s.view, s.person, which, reason, customers_word))

    # ---- proving ----------------------------------------------------------------------------------------

    def verify(self, tag: str = "") -> list[journal.Break]:
        """What does not fit, of one traveller or of every subject: see `vouched.verify`; empty when all fits."""
        named = [self.desk.unit_tag(tag)] if tag else []
        with reading(self.engine) as connection:
            for one in named:
                self.desk.need_traveller(connection, one)
            known = named or journal.subjects(connection)
            return [broken for one in known for broken in vouched.verify(connection, one)]

    def cards_astray(self, repair: bool = False) -> list[str]:
        """Tags whose card does not equal the fold of their entries, or that have a card and no entries; with
        `repair` the cards are made anew."""
        with writing(self.engine) if repair else reading(self.engine) as connection:
            return projection.astray(connection, lambda tag: self.desk.view(connection, tag), repair)
