"""Load rigs: what is booked on each, and which units a rig can take."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from uuid import UUID

from traveller.judgement import COMMON_PRACTICE, Finding, Verdict, worst
from traveller.quantities import show
from traveller.record.entries import Entry, Nameplate
from traveller.record.rig_entries import RigBooked, RigFreed, RigTaken
from traveller.record.shop_entries import RigRegistered
from traveller.vocabulary import RATINGS

CAUTION = "The plates on rig and unit and the maker's manual come first. Guards closed, emergency stop tried."


@dataclass(frozen=True)
class Booking:
    """A rig kept for a unit. `freed` is when it was given back, `taken` when the run on it started."""

    id: UUID
    rig: str
    unit: str
    begins: datetime
    ends: datetime
    by: str
    note: str = ""
    taken: datetime | None = None
    freed: datetime | None = None

    def last(self, now: datetime) -> datetime:
        """Until when the rig is not to be had: a rig in use stays so until somebody frees it."""
        if self.freed:
            return min(self.ends, self.freed) if self.taken is None else self.freed
        return max(self.ends, now) if self.taken else self.ends

    def in_use(self) -> bool:
        return self.taken is not None and self.freed is None

    def open_at(self, now: datetime) -> bool:
        """Whether anything of it is still to come or going on."""
        return self.freed is None and (self.in_use() or self.ends > now)


Bookings = Mapping[UUID, Booking]


def with_entry(bookings: Bookings, entry: Entry) -> Bookings:
    """The bookings after one more entry; an entry about something else, or a booking unknown, changes nothing."""
    match entry.body:
        case RigBooked() as body:
            made = Booking(entry.id, body.rig, body.unit, body.begins, body.ends, entry.by, body.note)
            return {**bookings, entry.id: made}
        case RigTaken(booking=which) if which in bookings and bookings[which].taken is None:
            return {**bookings, which: replace(bookings[which], taken=entry.at)}
        case RigFreed(booking=which) if which in bookings and bookings[which].freed is None:
            return {**bookings, which: replace(bookings[which], freed=entry.at)}
    return bookings


def on_rig(bookings: Bookings, rig: str, now: datetime) -> list[Booking]:
    """What is going on or still to come on a rig, in order of time."""
    return sorted((one for one in bookings.values() if one.rig == rig and one.open_at(now)), key=lambda b: b.begins)


def clash(
    bookings: Bookings, rig: str, begins: datetime, ends: datetime, now: datetime, apart_from: UUID | None = None
) -> Booking | None:
    """The first booking of the rig that overlaps a span; ends that touch do not overlap."""
    there = (one for one in on_rig(bookings, rig, now) if one.id != apart_from)
    return next((one for one in there if one.begins < ends and begins < one.last(now)), None)


# ---- what a rig can take --------------------------------------------------------------------------------


def can_take(rig: RigRegistered, plate: Nameplate, loads: Sequence[str] = (), percent: float = 100) -> Finding:
    """Whether the rig can take the unit at `percent` of its rated current; `loads` are kinds that suit the unit.

    Passes when volts, amps, power and kind of load are all known and within what the rig is for; what nobody
    wrote down is undecided, in words. Source: common practice; the maker's figures come first.
    """
    lines = list(_lines(rig, plate, loads, percent))
    wrong = [says for verdict, says in lines if verdict is not Verdict.PASS]
    return Finding(
        verdict=worst(verdict for verdict, _ in lines),
        says="; ".join(wrong) or f"{rig.name} can take it",
        limit=f"up to {show(rig.max_volts, 'V')}, {show(rig.max_amps, 'A')}, {show(rig.max_power, 'W')}",
        working=tuple(f"{says} {verdict.sign}" for verdict, says in lines),
        source=COMMON_PRACTICE,
        caution=CAUTION,
    )


def _lines(rig: RigRegistered, plate: Nameplate, loads: Sequence[str], percent: float) -> Iterator[tuple[Verdict, str]]:
    if rig.out_of_use:
        yield Verdict.FAIL, f"out of use: {rig.out_of_use}"
    volts = max((plate.ratings[n] for n in ("supply_volts", "output_volts") if n in plate.ratings), default=None)
    amps = plate.ratings.get("output_amps")
    amps = None if amps is None else amps * percent / 100
    power, how = _power(plate.ratings, percent)
    yield _within("volts", volts, rig.max_volts, "V", "")
    yield _within("amps", amps, rig.max_amps, "A", "" if percent == 100 else f" ({percent:g} % of rated)")
    yield _within("power", power, rig.max_power, "W", how)
    yield _kind_of_load(rig.loads, loads)


def _within(what: str, wanted: float | None, most: float, unit: str, how: str) -> tuple[Verdict, str]:
    if wanted is None:
        label = {"volts": "supply_volts", "amps": "output_amps", "power": "output_power"}[what]
        return Verdict.UNDECIDED, f"the nameplate does not say {RATINGS[label].label}: correct the booking"
    if not most:
        return Verdict.UNDECIDED, f"nobody wrote down what {what} the rig takes: register it with its figures"
    good = wanted <= most
    says = f"{what} {show(wanted, unit)}{how} {'≤' if good else 'above'} {show(most, unit)} of the rig"
    return (Verdict.PASS if good else Verdict.FAIL), says


def _power(ratings: Mapping[str, float], percent: float) -> tuple[float | None, str]:
    """The power that the load has to take (W), from the plate or from volts and amps."""
    if "output_power" in ratings:
        return ratings["output_power"] * percent / 100, "" if percent == 100 else f" ({percent:g} % of rated)"
    volts = ratings.get("output_volts", ratings.get("supply_volts"))
    amps = ratings.get("output_amps")
    if volts is None or amps is None:
        return None, ""
    three = ratings.get("phases") == 3 and "output_volts" not in ratings
    root, sign = (math.sqrt(3), "√3 × ") if three else (1.0, "")
    return root * volts * amps * percent / 100, f" ({sign}{show(volts, 'V')} × {show(amps, 'A')} × {percent:g} %)"


def _kind_of_load(there: Iterable[str], wanted: Sequence[str]) -> tuple[Verdict, str]:
    has = tuple(there)
    if not has or not wanted:
        return Verdict.PASS, "kind of load: not written down, look for yourself"
    fits = [one for one in has if one.casefold() in {each.casefold() for each in wanted}]
    if fits:
        return Verdict.PASS, f"kind of load: {fits[0]}"
    return Verdict.FAIL, f"the rig has {', '.join(has)}; this unit needs {' or '.join(wanted)}"
