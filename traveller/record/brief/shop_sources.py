"""What the record of the shop has to tell the next shift. A further domain adds its source to `SOURCES`."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from datetime import timedelta

from traveller.record.brief.matter import Matter, Section
from traveller.record.handover_entries import Risk
from traveller.record.shifts import Turn
from traveller.record.shop import Shop

NEW_FOR = timedelta(days=30)
"""So long somebody counts as new (common practice)."""

Source = Callable[[Shop, Turn], Iterable[Matter]]


def calibrations(shop: Shop, _turn: Turn) -> Iterator[Matter]:
    for one in shop.instruments.values():
        says = f"calibration of {one.name} {one.tag} ({one.instrument_class})"
        yield Matter(Section.DUE, says, day=one.calibration_due, refers=one.tag)


def bookings(shop: Shop, turn: Turn) -> Iterator[Matter]:
    for one in shop.bookings.values():
        if one.freed is None and one.taken is None and one.ends > turn.starts:
            says = f"{shop.called(one.rig)} {one.rig} is booked for {one.unit}" + (f": {one.note}" if one.note else "")
            yield Matter(Section.DUE, says, one.by, due=one.begins, refers=str(one.id), unit=one.unit)


def items(shop: Shop, _turn: Turn) -> Iterator[Matter]:
    for one in shop.handovers.open_items():
        given = shop.handovers.given[one.handover]
        asked = f"; asked: {one.question}" if one.state == "asked" else ""
        reply = f"; reply: {one.reply}" if one.reply else ""
        words = f"{one.item.says}; {one.item.remark}" if one.item.remark else one.item.says
        says = f"item {one.item.number}, {one.item.risk.label}: {words}{asked}{reply}"
        whom = tuple(name for name in (given.body.to_crew, given.body.receiver) if name)
        number = str(one.item.number)
        station = one.item.key.partition("/")[0] if one.item.pieces else ""
        yield Matter(
            Section.ITEM,
            says,
            given.by,
            given.at,
            refers=number,
            for_whom=whom,
            unit=one.item.unit,
            station=station,
        )


def notes(shop: Shop, _turn: Turn) -> Iterator[Matter]:
    for one in shop.notices.notes.values():
        named = ", ".join(_whom(shop, name) for name in one.body.for_whom)
        whom = f"for {named}: " if named else ""
        says, seen = f"{whom}{one.says}", tuple(sorted(one.seen))
        yield Matter(Section.NOTE, says, one.by, one.at, refers=str(one.id), for_whom=one.body.for_whom, seen=seen)


def _whom(shop: Shop, name: str) -> str:
    """A person by name, a station in words, a crew as such."""
    if name in shop.people:
        return shop.called(name)
    return f"crew {name}" if any(shop.crew_of(one) == name for one in shop.people) else name.replace("_", " ")


def questions(shop: Shop, _turn: Turn) -> Iterator[Matter]:
    for one in shop.notices.questions.values():
        says = f"{one.text} (to {one.to})" if one.to else one.text
        yield Matter(Section.QUESTION, says, one.by, one.at, refers=str(one.id), risk=Risk.OTHER)


def newcomers(shop: Shop, turn: Turn) -> Iterator[Matter]:
    """Who is new in the crew that is on: a higher-risk handover."""
    for person in shop.present():
        new = person.since is not None and person.since > turn.starts - NEW_FOR
        if new and shop.crew_of(person.tag) in turn.crews:
            says = f"{person.name} is new in crew {shop.crew_of(person.tag)}"
            yield Matter(Section.BEGUN, says, at=person.since, refers=person.tag, risk=Risk.UNUSUAL)


SOURCES: tuple[Source, ...] = (calibrations, bookings, items, notes, questions, newcomers)


def matters_of(shop: Shop, turn: Turn) -> tuple[Matter, ...]:
    return tuple(matter for source in SOURCES for matter in source(shop, turn))
