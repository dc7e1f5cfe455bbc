"""One unit in the hands of the crew: every act goes the way that a terminal goes, and takes its time."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import timedelta

from traveller.errors import InputError
from traveller.record.acts.route import statement_for
from traveller.record.entries import Outcome
from traveller.record.view import UnitView
from traveller.record.worklist import LineState, WorkLine
from traveller.sheets import Check
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role

from .answers import READINGS, Answers, Typed
from .clock import Clock
from .files import Drawer
from .people import PIN, Crew
from .units import Sent

HOLD_SECONDS = 60 * READINGS["load_test.hold_minutes"]
ENDLESS, OFTEN = 400, 3
GOES_TO_SHELF = {"goods_in": "Goods-in A1", "component_work": "Bench B3", "dispatch": "Dispatch D1"}


class Bench:
    """Carries one unit through its stations, from the clock's time to the clock's end.

    `visits` is how many stations it will see, the last one included, where it is for `last_visit` minutes.
    """

    def __init__(
        self,
        workshop: Workshop,
        crew: Crew,
        clock: Clock,
        sent: Sent,
        answers: Answers,
        drawer: Drawer,
        visits: int,
        last_visit: int,
    ) -> None:
        self.workshop, self.crew, self.clock = workshop, crew, clock
        self.sent, self.answers, self.drawer = sent, answers, drawer
        self.view: UnitView
        self._last_visit = timedelta(minutes=last_visit)
        self._start, self._visits, self._visit = clock(), visits, 0

    @property
    def tag(self) -> str:
        return self.view.unit.tag

    def book_in(self) -> None:
        self.view = self.workshop.book_in(self.by(Role.TECHNICIAN), self.sent.nameplate)
        self._put_on_shelf()

    # ---- who, and when ----------------------------------------------------------------------------------

    def by(self, *roles: Role, avoid: Iterable[str] = ()) -> str:
        """Who does the next act; a minute or three pass."""
        self.clock.tick(self.answers.chance.randrange(50, 190))
        return self.crew.who(roles, self.clock(), self.sent.number, frozenset(avoid))

    def _by_for(self, check: Check) -> str:
        sheet = self.view.book.sheet(check.station)
        roles = check.who or (sheet.who if sheet else tuple(Role))
        return self.by(*roles[:1], avoid=self.view.proof.workers if check.independent else ())

    def _next_visit(self) -> None:
        """The unit waits on a shelf until its next station takes it."""
        self._visit += 1
        span = self.clock.end - self._last_visit - self._start
        if self._visit < self._visits:
            self.clock.reach(self._start + span * self._visit / max(1, self._visits - 1))

    # ---- answering --------------------------------------------------------------------------------------

    def answer(self, check: Check, typed: Typed | None = None, in_calibration: bool = True) -> None:
        given = self.answers.passing(check, self.view) if typed is None else typed
        if check.full_key == "load_test.hold_minutes":
            self.clock.tick(HOLD_SECONDS)
        turn = self.sent.number
        used = [self.crew.instrument(check.instrument, turn, in_calibration)] if check.instrument else []
        self.view = self.workshop.answer(self.tag, check.full_key, given, self._by_for(check), instruments=used)

    def settle(self, most: int = ENDLESS, until: str = "", live: bool = False) -> None:
        """Answer what keeps the unit here, check by check: at most so many, or until `until` is next.

        Unless the story leaves it `live`, nobody walks away from a hazard that a check can still clear.
        """
        asked: list[str] = []
        while (check := self._next_check()) and check.full_key != until:
            if len(asked) >= most and (live or not self.view.unit.hazards):
                return
            if asked.count(check.full_key) == OFTEN:
                says = self.view.proof.standing(check)
                raise InputError(f"{self.tag}: {check.full_key} never passes ({says}): mend the demo's answers.")
            first_look = check.full_key not in self.view.unit.answers
            self.answer(check, self.answers.failing(check, self.view) if first_look else None)
            asked.append(check.full_key)

    def _next_check(self) -> Check | None:
        """The first check that keeps the unit and rests on none that does."""
        keeping = [one.check for one in self.view.blockers if one.kind == "check"]
        ready = [key for key in keeping if not set(self.view.book.checks_before(self._check(key))) & set(keeping)]
        return self._check((ready or keeping)[0]) if keeping else None

    def _check(self, key: str) -> Check:
        check = self.view.book.check(key)
        if check is None:
            raise InputError(f"The demo names the check {key}, which no sheet asks: mend the demo.")
        return check

    def read(self, key: str, typed: Typed | None = None) -> None:
        """Answer this check now, with what is typed or with an answer that passes."""
        self.answer(self._check(key), typed)

    def measure_again_with_old(self, instrument: str) -> None:
        """The last check that took such an instrument is answered once more, with one out of calibration."""
        keys = [one.check for one in self.view.standings() if one.check.instrument == instrument and one.evidence]
        self.answer(keys[-1], in_calibration=False)

    # ---- moving -----------------------------------------------------------------------------------------

    def move_on(self) -> None:
        self._next_visit()
        sheet = self.view.sheet
        roles = sheet.who if sheet else (Role.LEAD,)
        self.view = self.workshop.move_on(self.tag, self.by(*roles[:1]))
        self._put_on_shelf()

    def send_back(self, station: str, found: str, check: str = "") -> None:
        here = self.view.sheet
        who = here.who[:1] if here else (Role.LEAD,)
        self.view = self.workshop.send_back(self.tag, station, self.by(*who), found, check)
        self._put_on_shelf()

    def _put_on_shelf(self) -> None:
        shelf = GOES_TO_SHELF.get(self.view.unit.station)
        if shelf:
            by = self.by(Role.TECHNICIAN)
            self.view = self.workshop.place(self.tag, self.crew.shelves[shelf], by)

    @property
    def rig(self) -> str:
        """The one that is large enough."""
        return self.crew.rigs[int(self.sent.nameplate.ratings.get("output_power", 0) > 20e3)]

    def put_on_rig(self) -> None:
        self.view = self.workshop.place(self.tag, self.rig, self.by(Role.LOAD_TESTER))

    def put_on(self, shelf: str) -> None:
        self.view = self.workshop.place(self.tag, self.crew.shelves[shelf], self.by(Role.TECHNICIAN))

    def hold(self, reason: str, days: int) -> None:
        """On hold; `days` counts from the day of the entry."""
        by = self.by(Role.LEAD)
        look_again = self.clock().date() + timedelta(days=max(1, days))
        self.view = self.workshop.hold(self.tag, by, reason, look_again)
        self.put_on("Waiting W1")

    # ---- the work list ----------------------------------------------------------------------------------

    def plan(self) -> None:
        by = self.by(Role.TECHNICIAN)
        for part in self.sent.fault.parts:
            siblings = part.siblings
            self.view = self.workshop.plan_work(
                self.tag, by, part.references, part.part, part.reason, part.matched_set, siblings
            )

    def _lines(self, *states: LineState) -> list[WorkLine]:
        return [line for line in self.view.unit.work.values() if line.state in states]

    def fit(self, leave: int = 0, found: str = "") -> None:
        """Fit what is planned, but for the last `leave` lines; `found` is what a line to check turned out to be."""
        lines = self._lines(LineState.PLANNED)
        for line in lines[: len(lines) - leave]:
            lot = f"L{26_00 + self.sent.number}-{len(line.reference) + len(line.part):02d}"
            fitted = found if line.action == "check" else f"{line.part}, same type"
            self.view = self.workshop.fit(self.tag, line.reference, self.by(Role.TECHNICIAN), fitted, lot)

    def verify(self, leave: int = 0) -> None:
        lines = self._lines(LineState.FITTED)
        for line in lines[: len(lines) - leave]:
            by = self.by(Role.INSPECTOR, avoid=self.view.proof.workers)
            self.view = self.workshop.verify_work(self.tag, line.reference, by)

    def reject(self, why: str) -> None:
        line = self._lines(LineState.VERIFIED, LineState.FITTED)[0]
        self.view = self.workshop.reject_work(self.tag, line.reference, self.by(Role.INSPECTOR), why)

    # ---- remarks and the end ----------------------------------------------------------------------------

    def note(self, text: str, *roles: Role) -> None:
        self.view = self.workshop.note(self.tag, self.by(*(roles or (Role.TECHNICIAN,))), text)

    def note_for(self, text: str, done: str, next_step: str, watch: str = "", whom: Iterable[str] = ()) -> None:
        """A note in its parts, for those who must see it."""
        by = self.by(Role.TECHNICIAN)
        self.view = self.workshop.note(self.tag, by, text, done, next_step, watch, list(whom))

    def photograph(self, name: str, of: str, caption: str) -> None:
        path = self.drawer.photo(f"{name}-{self.sent.number}")
        self.view = self.workshop.photos.take(self.tag, self.by(Role.TECHNICIAN), str(path), of, caption)

    def ask(self, text: str, to: str) -> None:
        self.view = self.workshop.ask(self.tag, self.by(Role.TECHNICIAN), text, to)

    def close_nonconformities(self, how: str) -> None:
        for one in self.view.unit.open_nonconformities():
            by = self.by(Role.INSPECTOR, avoid=self.view.proof.workers)
            self.view = self.workshop.close_nonconformity(self.tag, one.id, by, how)

    def give_up(self, outcome: Outcome, reason: str, customers_word: str) -> None:
        self.view = self.workshop.decide(self.tag, self.by(Role.LEAD), outcome, reason, customers_word)

    def release(self) -> None:
        by = self.by(Role.DISPATCH)
        self.view = self.workshop.release(self.tag, by, PIN, statement_for(self.view))
