"""Three shifts, four crews, and one change of shift: what was handed over, accepted and asked about."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from traveller.record.acts.handover import Wording
from traveller.record.acts.shifts import read_crew, read_cycle, read_shift
from traveller.record.brief.proposing import Candidate
from traveller.record.handover_entries import Risk
from traveller.record.shifts import Turn
from traveller.store.workshop import Workshop
from traveller.vocabulary import Role

from .clock import Clock
from .people import CYCLE_DAYS, Crew

CYCLE = "early early late late night night - -"
LAGS = {"A": 0, "B": 2, "C": 4, "D": 6}
OVERLAP = 15
BEFORE_THE_END, TALK = timedelta(minutes=8), timedelta(minutes=15)
MOST = {Risk.ACROSS: 4, Risk.UNUSUAL: 2, Risk.DUE: 3, Risk.OTHER: 1}
"""So many items of a kind are handed over beside what is live and what runs: nobody takes in fifty."""

MORNING_NOTE = (
    "Compressed air is off at the cleaning cabin until the fitter has been",
    "valve shut and tagged, fitter called",
    "do not blow out heatsinks meanwhile, use the suction bench",
    "pressure gauge beside the door: below 5 bar the clamps of rig 2 open slowly",
)
INTAKE_NOTE = "Two pallets from Papierwerk Trossen are announced: keep shelf Goods-in A2 free"


def set_pattern(workshop: Workshop, crew: Crew, today: date) -> None:
    """Crew A has the second early shift of its cycle today."""
    lead = next(tag for tag, (_, roles) in crew.people.items() if Role.LEAD in roles)
    shifts = [read_shift(one) for one in ("early=06:00", "late=14:00", "night=22:00")]
    cycle = read_cycle(CYCLE, shifts)
    turns = [read_crew(f"{name}={lag}", cycle) for name, lag in LAGS.items()]
    anchor = today - timedelta(days=5 * CYCLE_DAYS + 1)
    workshop.shifts.set_pattern(lead, shifts, turns, anchor, "", OVERLAP, "three shifts, four crews")
    for person, (name, _) in crew.people.items():
        workshop.shifts.set_crew(person, name, lead)


@dataclass(frozen=True)
class ChangeOfShift:
    """The last one before `now`: the outgoing lead writes and signs, the incoming crew goes through the items."""

    workshop: Workshop
    crew: Crew
    before: Turn
    turn: Turn
    now: datetime

    @property
    def signed_at(self) -> datetime:
        return self.turn.starts - BEFORE_THE_END

    def clock(self) -> Clock:
        return Clock(self.signed_at - timedelta(minutes=22), self.now - timedelta(seconds=20))

    def tell(self, clock: Clock) -> None:
        outgoing, incoming = self._one(self.before, Role.LEAD), self._one(self.turn, Role.LEAD)
        tester = self._one(self.turn, Role.LOAD_TESTER, Role.TECHNICIAN)
        text, done, next_step, watch = MORNING_NOTE
        self.workshop.notices.note(outgoing, text, done, next_step, watch)
        clock.tick(240)
        self.workshop.notices.note(outgoing, INTAKE_NOTE, for_whom=["goods_in", self.turn.crew])
        clock.reach(self.signed_at)
        numbers = self._sign(outgoing, tester)
        self._take_over(clock, numbers, incoming, tester)

    def _one(self, turn: Turn, *roles: Role) -> str:
        """The first of the crew on that shift with the first of these roles that anybody in it has."""
        of_crew = [(tag, has) for tag, (name, has) in self.crew.people.items() if name in turn.crews]
        return next(tag for role in roles for tag, has in of_crew if role in has)

    def _sign(self, outgoing: str, receiver: str) -> list[tuple[int, Risk]]:
        given = self.workshop.handovers.proposal(outgoing)
        kept = chosen(given.items)
        remarks = {one.key: "read the last note on it first" for one in kept if one.risk is Risk.ACROSS}
        wording = Wording(
            words="Quiet shift but for the drive that stays charged. Rig 2 clamps: see the note.",
            phone="extension 214",
            receiver=receiver,
            met=True,
            remarks=dict(list(remarks.items())[:1]),
            left_out={one.key for one in given.items} - {one.key for one in kept},
        )
        handover = self.workshop.handovers.prepare(outgoing, wording)
        return [(item.number, item.risk) for item in handover.body.items]

    def _take_over(self, clock: Clock, items: Sequence[tuple[int, Risk]], incoming: str, tester: str) -> None:
        """What can hurt and what runs first; one is asked about, the last ones nobody has accepted yet."""
        step = min(TALK, (self.now - clock()) / 2) / 3
        start, dangerous = clock(), [number for number, risk in items if risk in (Risk.LIVE, Risk.RUNNING)]
        others = [number for number, risk in items if number not in dangerous]
        clock.reach(start + step)
        if dangerous:
            self.workshop.handovers.accept(tester, dangerous, talked=True, remark="seen at the bench together")
        clock.reach(start + 2 * step)
        self.workshop.handovers.ask(incoming, others[0], "Has anybody begun with the next step already?")
        clock.reach(start + 3 * step)
        self.workshop.handovers.accept(incoming, others[1:3], talked=True)


def chosen(items: Sequence[Candidate]) -> list[Candidate]:
    """What is handed over: all that must be, and of the rest the first few of each kind."""
    seen: Counter[Risk] = Counter()
    kept = []
    for one in items:
        seen[one.risk] += 1
        if not one.may_be_left_out or seen[one.risk] <= MOST.get(one.risk, 0):
            kept.append(one)
    return kept
