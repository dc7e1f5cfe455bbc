"""Answering a check, correcting an answer, taking one off the record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from uuid import UUID

from traveller.errors import Overtaken, Refused
from traveller.judgement import Finding, Verdict
from traveller.record.acts.rights import Proposed, known_check, need_open, need_role, need_words
from traveller.record.acts.route import need_likely, presumed
from traveller.record.answering import judge_answer, need_fitting
from traveller.record.answers import Answer, Chosen, NotApplicable, Ticked, in_words
from traveller.record.entries import Answered, BookedIn, Entry, Nameplate, Noted, Withdrawn
from traveller.record.photo_entries import PhotoTaken
from traveller.record.shop import Person
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.view import UnitView
from traveller.sheets import Check
from traveller.vocabulary import HazardKind, Role


def need_check(view: UnitView, full_key: str) -> Check:
    """The check of this name, if it is asked of the unit."""
    check = known_check(view, full_key)
    if not view.proof.is_asked(check):
        raise Refused(f"{check.full_key} is not asked of this unit: its kind or an earlier answer rules it out.")
    return check


def answer(
    view: UnitView,
    person: Person,
    full_key: str,
    given: Answer,
    instruments: Sequence[InstrumentUsed] = (),
    seen: UUID | bool | None = False,
    corrects: UUID | None = None,
    because: str = "",
    today: date | None = None,
) -> list[Proposed]:
    """Answer a check. `seen` is the entry that the person saw as the current answer (None: there was none;
    False: not looked at); if another one stands now, the person is shown it and decides. A reading by an
    instrument that is out of calibration `today` is kept, but clears no hazard. A correction keeps the
    instruments of the reading that it corrects as they were then, and the day of that reading.
    """
    need_open(view)
    check = need_check(view, full_key)
    _need_station(view, check)
    sheet = view.book.sheet(check.station)
    need_role(person, f'answer "{check.ask}"', *(check.who or (sheet.who if sheet else ())))
    _need_unchanged(view, check, seen)
    need_fitting(check, given)
    if corrects:
        target = _need_correctable(view, person, corrects)
        if not isinstance(target.body, Answered) or target.body.check != check.full_key:
            raise Refused(f'The entry to correct is not an answer to "{check.ask}": name one that is.')
        need_words(because, "why the answer is corrected")
        instruments = _as_they_were(target.body, instruments)
        today = today and _day_of_the_reading(view, target)
    if check.independent and person.tag in view.proof.workers:
        raise Refused(f"{person.name} did work on this unit and may not inspect it: somebody else has to.")
    if check.instrument and not isinstance(given, NotApplicable):
        _need_instrument(check, instruments)
    finding = judge_answer(check, given, view.unit, view.judges, instruments)
    body = Answered(
        check=check.full_key,
        station=check.station,
        edition=sheet.edition if sheet else "",
        asks=check.digest,
        answer=given,
        finding=finding,
        instruments=tuple(instruments),
        day=today,
        hazard_raised=raised(check, given, finding),
        hazard_cleared=check.clears if finding.verdict is Verdict.PASS and not _late(instruments, today) else None,
    )
    return [Proposed(body, corrects, because.strip())]


def _as_they_were(corrected: Answered, instruments: Sequence[InstrumentUsed]) -> list[InstrumentUsed]:
    then = {one.tag: one for one in corrected.instruments}
    return [then.get(one.tag, one) for one in instruments]


def _day_of_the_reading(view: UnitView, corrected: Entry) -> date:
    history = (one for answers in view.unit.answers.values() for one in answers)
    return next((one.day for one in history if one.entry == corrected.id), corrected.at.date())


def _late(instruments: Sequence[InstrumentUsed], today: date | None) -> bool:
    return today is not None and any(one.calibration_due < today for one in instruments)


def raised(check: Check, given: Answer, finding: Finding) -> HazardKind | None:
    """The hazard that this answer raises, if any."""
    if not check.raises_on:
        return check.raises if finding.verdict is Verdict.FAIL else None
    match given:
        case Chosen(option=said):
            return check.raises if said in check.raises_on else None
        case Ticked(yes=yes):
            return check.raises if ("yes" if yes else "no") in check.raises_on else None
    return None


def _need_station(view: UnitView, check: Check) -> None:
    here, there = view.sheet, view.book.sheet(check.station)
    if here and there and there.order > here.order:
        raise Refused(f'"{check.ask}" is asked at {there.name}; the unit stands at {here.name}. Move it on first.')


def _need_unchanged(view: UnitView, check: Check, seen: UUID | bool | None) -> None:
    if seen is False:
        return
    current = view.unit.current(check.full_key)
    if (current.entry if current else None) != seen and current and current.answer:
        raise Overtaken(
            f'"{check.ask}" was answered a moment ago: {in_words(current.answer)} at '
            f"{current.at:%H:%M} UTC by {current.by}. Yours is still in the field: enter it again to put it on top."
        )


def _need_instrument(check: Check, instruments: Sequence[InstrumentUsed]) -> None:
    if not any(one.instrument_class == check.instrument for one in instruments):
        raise Refused(f"Which {check.instrument} was used? Scan its tag, then enter the answer again.")


def _need_correctable(view: UnitView, person: Person, entry: UUID) -> Entry:
    need_role(person, "correct an entry", *Role)
    target = next((one for one in view.entries if one.id == entry), None)
    if target is None or not isinstance(target.body, Answered | Noted | BookedIn | PhotoTaken):
        raise Refused(
            "Only a booking, an answer, a note or a photo can be taken back; everything else has an act that ends it."
        )
    if target.by != person.tag and not person.may(Role.LEAD):
        raise Refused("Somebody else entered this: the same person or a shift lead corrects it.")
    if entry in view.unit.corrected:
        raise Refused("This entry was already corrected: correct the newer one.")
    return target


def withdraw(view: UnitView, person: Person, entry: UUID, because: str) -> list[Proposed]:
    """Take an answer, a note or a photo off the record's sum; the check is open again, the line stays."""
    need_open(view)
    target = _need_correctable(view, person, entry)
    if isinstance(target.body, BookedIn):
        raise Refused("A booking is corrected, never withdrawn.")
    return [Proposed(Withdrawn(), entry, need_words(because, "why the entry is withdrawn"))]


def correct_nameplate(view: UnitView, person: Person, nameplate: Nameplate, because: str) -> list[Proposed]:
    need_open(view)
    latest = [one for one in view.entries if isinstance(one.body, BookedIn)][-1]
    _need_correctable(view, person, latest.id)
    need_likely(nameplate)
    body = BookedIn(nameplate=nameplate, station=view.book.first.key, editions=view.unit.editions)
    known = presumed(view.unit, view.book)
    after = presumed(replace(view.unit, nameplate=nameplate), view.book)
    corrected = Proposed(body, latest.id, need_words(because, "why the nameplate is corrected"))
    return [corrected] + [hazard for hazard in after if hazard not in known]
