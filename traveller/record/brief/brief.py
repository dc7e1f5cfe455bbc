"""The brief: all matters that concern a reader in a shift, under their headings, each line naming its unit."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import NamedTuple

from traveller.record.brief.matter import Matter, Section
from traveller.record.notices import concerns
from traveller.record.shifts import Turn, day_in_words, zone_of

SHOWN: tuple[Section, ...] = tuple(one for one in Section if one is not Section.BEGUN)


@dataclass(frozen=True, slots=True)
class Glance:
    """What is needed of a unit, as its card says it."""

    tag: str
    what: str
    station: str
    place: str
    released: bool
    matters: Sequence[Matter]


_BEGUN, _CHANGED, _DUE, _ITEM, _NOTE = Section.BEGUN, Section.CHANGED, Section.DUE, Section.ITEM, Section.NOTE
"""Asked for a thousand times a brief: looking up a member of an enumeration takes longer than comparing it."""


@dataclass(frozen=True)
class Wanted:
    """What the reader asked to see; empty is everything. `crews` says to which crew a badge belongs."""

    station: str = ""
    crew: str = ""
    rig: str = ""
    crews: Mapping[str, str] = field(default_factory=dict)

    @property
    def anything(self) -> bool:
        return not (self.station or self.crew or self.rig)

    def takes(self, glance: Glance | None, matter: Matter) -> bool:
        if self.station and (glance.station if glance else matter.station) != self.station:
            return False
        if self.rig and (glance is None or glance.place != self.rig):
            return False
        own = self.crews.get(matter.by, "") == self.crew or self.crew in matter.for_whom
        return not self.crew or own

    def in_words(self) -> str:
        named = (("station", self.station.replace("_", " ")), ("crew", self.crew), ("rig", self.rig))
        return ", ".join(f"{head} {name}" for head, name in named if name)


class Line(NamedTuple):
    """One line of the brief. `unit` is the tag that it opens, empty for a matter of the shop."""

    section: Section
    unit: str
    what: str
    station: str
    place: str
    says: str
    matter: Matter
    late: bool = False


@dataclass(frozen=True)
class Brief:
    """`since`: when the reader was last here. `hidden`: so many lines a filter keeps back, `hidden_dangers` of them
    dangers."""

    turn: Turn
    now: datetime
    reader: str
    since: datetime
    wanted: Wanted
    lines: tuple[Line, ...]
    hidden: int = 0
    hidden_dangers: int = 0
    complaint: str = ""

    def with_complaint(self, complaint: str) -> Brief:
        """The same brief with a sentence about this terminal's clock."""
        return replace(self, complaint=complaint)

    def under(self, section: Section) -> list[Line]:
        return [line for line in self.lines if line.section is section]

    def counts(self) -> dict[Section, int]:
        counts: dict[Section, int] = dict.fromkeys(SHOWN, 0)
        for line in self.lines:
            counts[line.section] += 1
        return counts


@dataclass(frozen=True)
class Reader:
    """`since` is when they were last here; `did` what others have entered since, by unit and kind of entry."""

    tag: str
    crew: str
    since: datetime
    did: Mapping[str, Mapping[str, int]] = field(default_factory=dict)


def make_brief(
    turn: Turn,
    now: datetime,
    reader: Reader,
    glances: Iterable[Glance],
    shop_matters: Iterable[Matter],
    wanted: Wanted | None = None,
) -> Brief:
    """Everything that stands; a filter keeps lines back and says how many."""
    wanted = wanted or Wanted()
    shown: list[Line] = []
    hidden = hidden_dangers = 0
    everything = wanted.anything
    today = now.astimezone(zone_of(turn.zone)).date()
    for glance, matter in _all(glances, shop_matters):
        line = _line(glance, matter, turn, reader, now, today)
        if line is None:
            continue
        if everything or wanted.takes(glance, matter):
            shown.append(line)
        else:
            hidden += 1
            hidden_dangers += matter.section is Section.DANGER
    return Brief(turn, now, reader.tag, reader.since, wanted, tuple(sorted(shown, key=_order)), hidden, hidden_dangers)


def _all(glances: Iterable[Glance], of_shop: Iterable[Matter]) -> Iterator[tuple[Glance | None, Matter]]:
    known = list(glances)
    yield from ((glance, matter) for glance in known for matter in glance.matters)
    about = {glance.tag: glance for glance in known}
    yield from ((about.get(matter.unit), matter) for matter in of_shop)


def _line(glance: Glance | None, matter: Matter, turn: Turn, reader: Reader, now: datetime, today: date) -> Line | None:
    """The matter as a line for this reader in this shift; None when it is none of theirs."""
    section, says = matter.section, matter.says
    if section is _BEGUN or (section is _DUE and not falls_due(matter, turn)):
        return None
    if section is _NOTE and _not_theirs(matter, reader, glance):
        return None
    if section is _CHANGED:
        did = reader.did.get(glance.tag) if glance else None
        if not did and not (matter.at and matter.at > reader.since and matter.by != reader.tag):
            return None
        says = _done(did, says) if did else says
    late = False
    if matter.due or matter.day:
        late = matter.due < now if matter.due else matter.day is not None and matter.day < today
        says = _with_moment(matter, turn, late)
    if glance is None:
        return Line(section, matter.unit, "", matter.station, "", says, matter, late)
    return Line(section, glance.tag, glance.what, glance.station, glance.place, says, matter, late)


def _with_moment(matter: Matter, turn: Turn, late: bool) -> str:
    """``LATE Sun 2 Mar …`` for a day, ``14:20 …`` for a moment, by the clock on the wall."""
    moment = matter.due.astimezone(zone_of(turn.zone)) if matter.due else None
    day = f"{moment:%a} " if moment and moment.date() != turn.day else ""
    when = f"{day}{moment:%H:%M}" if moment else day_in_words(matter.day, turn.day.year) if matter.day else ""
    return f"{'LATE ' if late else ''}{when} {matter.says}".strip()


def falls_due(matter: Matter, turn: Turn) -> bool:
    """By the end of the shift: a moment before it ends, or a day that has come by then."""
    if matter.due:
        return matter.due <= turn.ends
    return matter.day is not None and matter.day <= turn.last_day


def _not_theirs(matter: Matter, reader: Reader, glance: Glance | None) -> bool:
    station = glance.station if glance else ""
    mine = concerns(matter.for_whom, reader.tag, reader.crew, station)
    return bool(reader.tag) and (reader.tag in matter.seen or not mine)


def _done(did: Mapping[str, int], says: str) -> str:
    """``3 lines (2 × answered, 1 × moved), last answered: ...``."""
    total = sum(did.values())
    if total == 1:
        return says
    most = sorted(did.items(), key=lambda one: -one[1])[:3] if len(did) > 1 else did.items()
    kinds = ", ".join([f"{number} × {kind}" for kind, number in most])
    return f"{total} lines ({kinds}), last {says}"


def _order(line: Line) -> tuple[int, str, float, str]:
    """Under each heading: what falls due first by its day, everything else the newest first."""
    matter = line.matter
    if line.section is _DUE or matter.due:
        when = matter.due.isoformat() if matter.due else f"{matter.day}T24"
        return line.section.rank, when, 0, line.unit
    if line.section is _ITEM:
        return line.section.rank, "", float(matter.refers), ""
    return line.section.rank, "", -(matter.at.timestamp() if matter.at else 0.0), line.unit
