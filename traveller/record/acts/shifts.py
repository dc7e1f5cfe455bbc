"""The pattern of shifts and the crews: what a lead may set, and what is wrong with a pattern in words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time

from traveller.errors import InputError, Refused
from traveller.record.acts.rights import need_role
from traveller.record.entries import Body
from traveller.record.shift_entries import CrewSet, CrewTurns, PatternSet, ShiftTimes
from traveller.record.shifts import need_zone
from traveller.record.shop import Person, Shop
from traveller.vocabulary import Role

OFF = ("-", "o", "off")
LONGEST_CYCLE = 366


def read_shift(text: str) -> ShiftTimes:
    """``early=06:00`` as a shift; InputError otherwise."""
    name, equals, starts = text.partition("=")
    try:
        if not equals or not name.strip():
            raise ValueError
        return ShiftTimes(name=name.strip(), starts=time.fromisoformat(starts.strip()))
    except ValueError:
        raise InputError(f'"{text}" is not a shift: write its name and start, for example early=06:00.') from None


def read_cycle(text: str, shifts: Sequence[ShiftTimes]) -> tuple[str, ...]:
    """``E E L L N N - -`` as the shift of each day; a letter is enough where only one shift begins with it."""
    days = tuple(_shift_meant(word, shifts) for word in text.replace(",", " ").split())
    if not 1 <= len(days) <= LONGEST_CYCLE:
        raise InputError(f"A cycle has 1 to {LONGEST_CYCLE} days: write one word for each, - for a day off.")
    return days


def _shift_meant(word: str, shifts: Sequence[ShiftTimes]) -> str:
    if word.casefold() in OFF and not any(one.name.casefold() == word.casefold() for one in shifts):
        return ""
    fits = [one.name for one in shifts if one.name.casefold().startswith(word.casefold())]
    if len(fits) != 1:
        known = ", ".join(one.name for one in shifts)
        raise InputError(f'"{word}" in the cycle fits {len(fits)} shifts: write one of {known}, or - for a day off.')
    return fits[0]


def read_crew(text: str, cycle: Sequence[str]) -> CrewTurns:
    """``A=0`` as a crew that starts the cycle so many days later than the first one; InputError otherwise."""
    name, _, offset = text.partition("=")
    if not name.strip() or not (offset or "0").strip().isdecimal():
        raise InputError(f'"{text}" is not a crew: write its name and the days by which it lags, for example B=2.')
    lag = int(offset or 0) % len(cycle)
    return CrewTurns(crew=name.strip(), days=tuple(cycle[-lag:]) + tuple(cycle[:-lag]) if lag else tuple(cycle))


def set_pattern(
    shop: Shop,
    person: Person,
    now: datetime,
    shifts: Sequence[ShiftTimes],
    crews: Sequence[CrewTurns],
    anchor: date,
    zone: str = "",
    overlap_minutes: int = 0,
    reason: str = "",
) -> list[Body]:
    """A pattern that is valid from the end of the shift that is on."""
    need_role(person, "set the pattern of shifts", Role.LEAD)
    zone = need_zone(zone or shop.zone)
    if not shifts:
        raise InputError("Name at least one shift, for example early=06:00.")
    if len({one.starts for one in shifts}) < len(shifts) or len({one.name for one in shifts}) < len(shifts):
        raise InputError("Two shifts have the same name or the same start: each needs its own.")
    if len({one.crew for one in crews}) < len(crews):
        raise InputError("Two crews have the same name: each needs its own.")
    if not 0 <= overlap_minutes <= 240:
        raise InputError(f"{overlap_minutes} minutes of overlap: give 0 to 240.")
    return [
        PatternSet(
            zone=zone,
            shifts=tuple(sorted(shifts, key=lambda one: one.starts)),
            crews=tuple(crews),
            anchor=anchor,
            overlap_minutes=overlap_minutes,
            valid_from=shop.turn(now).ends,
            reason=reason.strip(),
        )
    ]


def crews_of(shop: Shop) -> list[str]:
    """The crews that the newest pattern names."""
    return [one.crew for one in shop.roster.set[-1].crews] if shop.roster.set else []


def set_crew(shop: Shop, person: Person, who: str, crew: str) -> list[Body]:
    need_role(person, "say who belongs to which crew", Role.LEAD)
    if who not in shop.people or shop.people[who].left:
        raise Refused(f"{who} works nowhere in this shop: enrol the person first; a lost badge is no hindrance.")
    known = {name.casefold(): name for name in crews_of(shop)}
    wanted = crew.strip()
    if wanted and known and wanted.casefold() not in known:
        raise Refused(f"No pattern has a crew {wanted}: it is one of {', '.join(known.values())}.")
    return [CrewSet(person=who, crew=known.get(wanted.casefold(), wanted))]
