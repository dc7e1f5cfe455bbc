"""Planning, starting, feeding, stopping and judging a heat run. Each looks at the unit as it is and proposes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from traveller.errors import InputError, Refused
from traveller.judgement import Finding, Verdict
from traveller.record.acts.answer import answer
from traveller.record.acts.rig import need_rig
from traveller.record.acts.rights import Proposed, need_open, need_role, need_words
from traveller.record.answers import Ticked
from traveller.record.entries import Answered, HazardRaised, NonconformityRaised
from traveller.record.heat_runs.asked import checks_of, heat_of, still_open
from traveller.record.heat_runs.faults import open_faults
from traveller.record.heat_runs.plan import Plan
from traveller.record.heat_runs.run import Run, latest
from traveller.record.heat_runs.usual import UsualRun
from traveller.record.heat_runs.verdict import failed_words, parts, pictured, proved, verdict
from traveller.record.rigs import can_take, clash
from traveller.record.run_entries import (
    FaultSettled,
    Judged,
    ReadingsTaken,
    RunJudged,
    RunPlanned,
    RunStarted,
    RunStopped,
    SamplesKept,
)
from traveller.record.shop import Person, Shop
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.view import UnitView
from traveller.vocabulary import HazardKind

COLDEST, HOTTEST = -60.0, 1000.0
"""°C that a load test can meet; even the hottest brake resistor stays below (common practice)."""
AHEAD = timedelta(minutes=2)
"""So far ahead of this terminal a time may lie that was read off another clock (common practice)."""


def need_hands(view: UnitView, person: Person, usual: UsualRun, act: str) -> None:
    """Who works at the station of the run may do this, and the unit stands there."""
    need_open(view)
    sheet = view.book.sheet(usual.station)
    need_role(person, act, *(sheet.who if sheet else ()))
    if sheet and view.unit.station != sheet.key:
        here = view.sheet.name if view.sheet else "no station"
        raise Refused(f"A run is made at {sheet.name}; the unit stands at {here}. Bring it there first.")


def need_run(view: UnitView, *states: str) -> Run:
    """The latest run of the unit, in one of these states."""
    run = latest(view.unit.heat_runs)
    if run is None:
        raise Refused("No run is planned for this unit: plan one.")
    if run.state not in states:
        todo = {
            "planned": "start it first",
            "running": "stop it first",
            "stopped": "judge it, or plan another",
            "judged": "plan another",
        }[run.state]
        raise Refused(f"The run is {run.state}: {todo}.")
    return run


# ---- before it starts -----------------------------------------------------------------------------------


def suits(view: UnitView, rig: str, plan: Plan, usual: UsualRun, shop: Shop) -> Finding:
    """Whether the rig can take the unit by this plan."""
    plate = view.unit.nameplate
    assert plate is not None
    return can_take(need_rig(shop, rig), plate, usual.loads.get(plate.unit_kind, ()), plan.highest_percent)


def plan_run(view: UnitView, person: Person, usual: UsualRun, shop: Shop, plan: Plan, rig: str) -> RunPlanned:
    """A new run, or another plan for the one that has not started. The store adds the booking."""
    need_hands(view, person, usual, "plan a run")
    before = latest(view.unit.heat_runs)
    if before and before.state == "running":
        raise Refused("A run is going on: stop it before another is planned.")
    fit = suits(view, rig, plan, usual, shop)
    if fit.verdict is not Verdict.PASS:
        raise Refused(f"{need_rig(shop, rig).name} is not for this unit: {fit.says}.", *fit.working)
    return RunPlanned(plan=plan, rig=rig, run=before.id if before and before.state == "planned" else None)


def start(
    view: UnitView, person: Person, usual: UsualRun, shop: Shop, now: datetime, started: datetime | None = None
) -> list[Proposed]:
    """Full power from here on: every check before it counts, the rig is free and fit; energised is raised."""
    need_hands(view, person, usual, "start a run")
    run = need_run(view, "planned")
    begun = started or now
    if begun > now + AHEAD:
        raise InputError("A run cannot have started in the future: look at the time.")
    if missing := still_open(view, usual):
        raise Refused("Not yet: before full power these checks have to pass.", *(one.ask for one in missing))
    rig = need_rig(shop, run.rig)
    if rig.out_of_use:
        raise Refused(f"{rig.name} is out of use: {rig.out_of_use}. Plan the run on another rig.")
    if other := clash(shop.bookings, run.rig, now, now + timedelta(minutes=1), now, run.booking):
        raise Refused(f"{rig.name} is taken by {other.unit} until {other.last(now):%H:%M} UTC.")
    return [Proposed(RunStarted(run=run.id, started=begun)), *_energised(view, person, usual, rig.name)]


def _energised(view: UnitView, person: Person, usual: UsualRun, rig: str) -> list[Proposed]:
    if HazardKind.ENERGISED in view.unit.hazards:
        return []
    check = view.book.check(usual.energise)
    if check and view.proof.is_asked(check):
        given = answer(view, person, check.full_key, Ticked(yes=True))
        if any(isinstance(one.body, Answered) and one.body.hazard_raised for one in given):
            return given
    return [Proposed(HazardRaised(hazard=HazardKind.ENERGISED, detail=f"at full power on {rig}"))]


# ---- while it runs --------------------------------------------------------------------------------------


def take(
    view: UnitView,
    person: Person,
    usual: UsualRun,
    values: Mapping[str, float],
    taken: datetime,
    now: datetime,
    note: str = "",
) -> list[Proposed]:
    """Readings typed by a person; `values` by channel, in its unit."""
    need_hands(view, person, usual, "enter readings")
    run = need_run(view, "running")
    if taken > now + AHEAD:
        raise InputError("That time is still to come: look at the time of the reading.")
    if run.started and taken < run.started:
        raise InputError(f"The run started at {run.started:%Y-%m-%d %H:%M} UTC: that time is before it.")
    named: dict[str, float] = {}
    for name, value in values.items():
        channel = run.plan.channel(name)
        if channel is None:
            known = ", ".join(one.name for one in run.plan.channels)
            raise InputError(f"{name} is no channel of this run; they are {known}.")
        if channel.unit == "°C" and not COLDEST <= value <= HOTTEST:
            raise InputError(f"{channel.name}: {value:.0f} °C cannot be: look at the decimal point.")
        named[channel.name] = value
    if not named:
        raise InputError("No value was typed: give at least one channel its value.")
    body = ReadingsTaken(run=run.id, taken=taken, values=named, note=note.strip())
    return [Proposed(body), *_hot(view, run, named)]


def keep(view: UnitView, person: Person, usual: UsualRun, chunks: Sequence[SamplesKept]) -> list[Proposed]:
    """Chunks of a logger's samples, in order of time."""
    need_hands(view, person, usual, "keep samples")
    run = need_run(view, "running")
    peaks = {one.name: one.most for chunk in chunks for one in chunk.channels if one.count}
    return [*(Proposed(chunk) for chunk in chunks), *_hot(view, run, peaks)]


def _hot(view: UnitView, run: Run, values: Mapping[str, float]) -> list[Proposed]:
    """Hot is raised by the first temperature that burns; the check that reads it cold clears it."""
    if HazardKind.HOT in view.unit.hazards:
        return []
    for channel in run.plan.channels:
        if channel.is_heat and values.get(channel.name, 0.0) > run.plan.hot_above:
            detail = f"{channel.name} {values[channel.name]:.3g} °C in the run"
            return [Proposed(HazardRaised(hazard=HazardKind.HOT, detail=detail))]
    return []


def settle(view: UnitView, person: Person, usual: UsualRun, fault: str, how: str, now: datetime) -> list[Proposed]:
    """Somebody looked into what is wrong with the input, and says why the run counts all the same."""
    need_hands(view, person, usual, "settle a fault of the input")
    run = need_run(view, "running", "stopped", "judged")
    known = [one.key for one in open_faults(run, now)]
    if fault not in known:
        listed = "; ".join(known) or "none is open"
        raise Refused(f'"{fault}" is not an open fault of this run: {listed}.')
    return [Proposed(FaultSettled(run=run.id, fault=fault, how=need_words(how, "what was looked at and found")))]


def stop(view: UnitView, person: Person, usual: UsualRun, now: datetime, why: str) -> list[Proposed]:
    """The load is off. The unit stays energised until a reading says that it is dead."""
    need_hands(view, person, usual, "stop a run")
    run = need_run(view, "running")
    words = need_words(why, "why the run is stopped (for example: the hold is met)")
    return [Proposed(RunStopped(run=run.id, stopped=now, why=words))]


# ---- afterwards -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Judgement:
    """What a run comes to: its parts, what is proposed, and the checks that it could not answer, with why."""

    verdict: Verdict
    parts: tuple[Judged, ...]
    proposed: tuple[Proposed, ...]
    unanswered: tuple[str, ...]


def judge(
    view: UnitView,
    person: Person,
    usual: UsualRun,
    now: datetime,
    instruments: Iterable[InstrumentUsed] = (),
    today: date | None = None,
) -> Judgement:
    """Judge a run that has been stopped; its checks are answered in the same stroke, a failure is put down.

    It may be judged again, with an instrument named or a fault settled; the last verdict stands.
    """
    need_hands(view, person, usual, "judge a run")
    run = need_run(view, "stopped", "judged")
    heat, used, checks = heat_of(view, usual, run), list(instruments), checks_of(view, usual)
    found = [*parts(run, heat, now), *pictured(view.unit.thermal, run)]
    given, unanswered = list[Proposed](), list[str]()
    clean = not open_faults(run, now)
    for one in proved(run, heat, checks, now) if clean else ():
        fitting = [i for i in used if i.instrument_class == one.check.instrument] if one.check.instrument else []
        try:
            answers = answer(view, person, one.check.full_key, one.answer, fitting, today=today)
        except (Refused, InputError) as error:
            unanswered.append(f"{one.check.ask}: {error}")
            continue
        given += answers
        found += [Judged(name=one.check.ask, finding=a.body.finding) for a in answers if isinstance(a.body, Answered)]
    if not clean:
        unanswered.append("No check was answered: settle what is wrong with the input first.")
    whole = verdict(tuple(found))
    body = RunJudged(run=run.id, verdict=whole, parts=tuple(found))
    wrong = failed_words(found)
    known = any(one.found == wrong for one in view.unit.open_nonconformities())
    bad = [Proposed(NonconformityRaised(found=wrong))] if wrong and not known else []
    return Judgement(whole, tuple(found), (Proposed(body), *given, *bad), tuple(unanswered))
