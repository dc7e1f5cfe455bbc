"""What the record of one unit has to tell the next shift. Each source looks at one side of the unit.

A further domain adds its source to `SOURCES` and raises `EDITION`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import timedelta

from traveller.judgement import Verdict
from traveller.record.brief.matter import PART_WAY, Matter, Section
from traveller.record.entries import Noted
from traveller.record.evidence import State
from traveller.record.findings import DECISION, WAITS_FOR
from traveller.record.handover_entries import NoteSeen, Risk
from traveller.record.notices import note_words
from traveller.record.saying import Names, said
from traveller.record.shifts import day_in_words
from traveller.record.view import UnitView
from traveller.record.worklist import LineState, progress
from traveller.vocabulary import HazardKind

LIVE = (HazardKind.ENERGISED, HazardKind.STORED_CHARGE, HazardKind.HOT, HazardKind.OPEN_PANEL)

Source = Callable[[UnitView], Iterable[Matter]]


def hazards(view: UnitView) -> Iterator[Matter]:
    for one in view.unit.hazards.values():
        says = f"{one.kind.label.upper()}: {view.proof.found(one)}"
        risk = Risk.LIVE if one.kind in LIVE else Risk.UNUSUAL
        yield Matter(Section.DANGER, says, one.by, one.since, refers=str(one.kind), risk=risk)


def heat_runs(view: UnitView) -> Iterator[Matter]:
    """A run that is on: when its hold is met if nothing breaks it, and when the next reading is due."""
    for run in view.unit.heat_runs.values():
        newest = run.last_sample
        if run.state != "running" or newest is None or run.started is None:
            continue
        hold = run.hold(newest)
        held = f"held {hold.held_minutes:.0f} of {hold.wanted_minutes:g} min"
        ends = hold.met_at or hold.will_be_met_at or run.started + timedelta(minutes=run.plan.minutes)
        broken = f", begun again: {hold.restarted[-1][1]}" if hold.restarted else ""
        says, who = f"heat run ends if nothing breaks it: {held}{broken}; on {run.rig}", run.started_by
        yield Matter(Section.RUNNING, says, who, run.started, due=ends, refers=f"run {run.id}", risk=Risk.RUNNING)
        due = newest + timedelta(minutes=run.plan.reading_minutes)
        says = f"next reading of the heat run, on {run.rig}"
        yield Matter(Section.RUNNING, says, who, run.started, due=due, refers=f"reading {run.id}")


def moisture(view: UnitView) -> Iterator[Matter]:
    """Parts out of their bag: when the last of their floor life has gone."""
    for clock in view.unit.clocks.values():
        if runs_out := clock.runs_out_at():
            part = f"{clock.reference} (moisture level {clock.msl})"
            says = f"{part} is out of its bag: fit it or put it away dry by then"
            yield Matter(Section.DUE, says, at=clock.opened_at, due=runs_out, refers=clock.reference, risk=Risk.DUE)


def under_power(view: UnitView) -> Iterator[Matter]:
    """A unit that is energised on a rig is running, whether or not a run was written down."""
    hazard = view.unit.hazards.get(HazardKind.ENERGISED)
    on_the_record = any(run.state == "running" for run in view.unit.heat_runs.values())
    if hazard and view.unit.place and not on_the_record:
        says = f"under power; next: {view.next_step()}"
        yield Matter(Section.RUNNING, says, hazard.by, hazard.since, risk=Risk.RUNNING)


def hold(view: UnitView) -> Iterator[Matter]:
    if one := view.unit.hold:
        yield Matter(
            Section.HELD, f"{one.reason}; look again {day_in_words(one.look_again, one.since.year)}", one.by, one.since
        )
        says = f"look again: {one.reason}"
        yield Matter(Section.DUE, says, one.by, one.since, day=one.look_again, refers="hold", risk=Risk.DUE)


def waits_for_word(view: UnitView) -> Iterator[Matter]:
    """Decided to wait for the customer's word, and not on hold for it: nobody would be told to look again."""
    decided, hold = view.unit.current(DECISION), view.unit.hold
    held = hold is not None and hold.reason.startswith(WAITS_FOR)
    if decided and decided.finding and decided.finding.verdict is Verdict.FAIL and not held:
        says = f"{decided.finding.says}: not on hold for it"
        yield Matter(Section.HELD, says, decided.by, decided.at, refers=str(decided.entry), risk=Risk.UNUSUAL)


def promise(view: UnitView) -> Iterator[Matter]:
    plate = view.unit.nameplate
    if plate and plate.promised:
        says = f"promised to {plate.customer}; next: {view.next_step()}"
        yield Matter(Section.DUE, says, day=plate.promised, refers="promise")


def questions(view: UnitView) -> Iterator[Matter]:
    for one in view.unit.open_questions():
        says = f"{one.text} (to {one.to})" if one.to else one.text
        yield Matter(Section.QUESTION, says, one.by, one.at, refers=str(one.id), risk=Risk.OTHER)


def notes(view: UnitView) -> Iterator[Matter]:
    """Notes that name somebody who must see them, or something to watch."""
    for entry in view.unit.notes:
        body = entry.body
        if isinstance(body, Noted) and (body.for_whom or body.watch or body.next):
            seen = tuple(sorted(view.unit.notes_seen.get(entry.id, ())))
            says = note_words(body.text, body.done, body.next, body.watch)
            yield Matter(
                Section.NOTE, says, entry.by, entry.at, refers=str(entry.id), for_whom=body.for_whom, seen=seen
            )


def trouble(view: UnitView) -> Iterator[Matter]:
    """What was sent back, failed, could not be decided, or goes out by concession.

    To wait for the customer's word is a decision and no failure, though nothing goes on with it.
    """
    named = {DECISION}
    asked = {standing.check.full_key: standing.check.ask for standing in view.standings()}
    for one in view.unit.nonconformities.values():
        if one.state == "closed":
            continue
        named.add(one.check)
        head = "conceded: " if one.state == "conceded" else ""
        says = f"{head}{one.found}" + (f" ({asked.get(one.check, one.check)})" if one.check else "")
        yield Matter(Section.BAD, says, one.by, one.at, refers=str(one.id), risk=Risk.UNUSUAL)
    for standing in view.standings():
        evidence = standing.evidence
        if standing.state in (State.FAILED, State.UNDECIDED) and evidence and standing.check.full_key not in named:
            found = evidence.finding.says if evidence.finding else ""
            says = f"{standing.state}: {standing.check.ask} {found}"
            yield Matter(Section.BAD, says, evidence.by, evidence.at, refers=str(evidence.entry), risk=Risk.UNUSUAL)


def begun(view: UnitView) -> Iterator[Matter]:
    """Work at this station that somebody has begun and nobody has finished."""
    unit = view.unit
    if not view.blockers or unit.hold or not unit.arrived_at:
        return
    answers = [one for history in unit.answers.values() for one in history if one.station == unit.station]
    begun_here = any(one.at >= unit.arrived_at for one in answers)
    fitted = [one for one in unit.work.values() if one.state in (LineState.FITTED, LineState.VERIFIED)]
    part_way = bool(fitted) and any(one.state is LineState.PLANNED for one in unit.work.values())
    if begun_here or part_way:
        work = f"{progress(unit.work, 'fitted')}; " if unit.work else ""
        last = view.entries[-1]
        says = f"{work}next: {view.next_step()}"
        yield Matter(Section.BEGUN, says, last.by, last.at, refers=PART_WAY if part_way else "", risk=Risk.ACROSS)


def latest(view: UnitView) -> Iterator[Matter]:
    """The last thing that was entered, for those who were away."""
    entry = next((one for one in reversed(view.entries) if not isinstance(one.body, NoteSeen)), None)
    if entry:
        words = said(entry, Names(view.book.asked)).replace("\n", " ")
        yield Matter(Section.CHANGED, f"{entry.body.kind}: {words[:120]}".rstrip(": "), entry.by, entry.at)


SOURCES: tuple[Source, ...] = (
    hazards,
    heat_runs,
    under_power,
    moisture,
    hold,
    waits_for_word,
    promise,
    questions,
    notes,
    trouble,
    begun,
    latest,
)


def matters_of(view: UnitView) -> tuple[Matter, ...]:
    """All that this unit has to tell; a unit that has left tells only how it left."""
    sources = (latest,) if view.unit.release else SOURCES
    return tuple(matter for source in sources for matter in source(view))
