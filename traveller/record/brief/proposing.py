"""What the tool proposes to hand over at the end of a shift, what is most dangerous if forgotten first.

What can hurt, what runs, what falls due and what is unusual are items of their own. Work that was begun and went
well is one item for each station, with its units in it: a list that can be read to its end.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace

from traveller.record.brief.brief import Glance, falls_due
from traveller.record.brief.matter import PART_WAY, Matter, Section
from traveller.record.handover import Handed, Handovers
from traveller.record.handover_entries import Piece, Risk
from traveller.record.shifts import Turn

TOGETHER = (Risk.ACROSS, Risk.UNUSUAL, Risk.DUE)


@dataclass(frozen=True)
class Candidate:
    """`key` is the same for the same matter whenever it is proposed; `carries` is an item nobody accepted.

    `unit` is empty when the item is about the shop, or about the units in `pieces`.
    """

    key: str
    unit: str
    risk: Risk
    says: str
    carries: int = 0
    pieces: tuple[Piece, ...] = ()

    @property
    def may_be_left_out(self) -> bool:
        """What can hurt and what runs is always handed over, and so is what the shift before left open."""
        return self.risk not in (Risk.LIVE, Risk.RUNNING) and not self.carries

    @property
    def marks(self) -> tuple[str, ...]:
        """By these a person has seen it: another unit in the same item is something new."""
        return (self.key, *(f"{self.key}/{one.unit}" for one in self.pieces))


def propose(
    glances: Iterable[Glance],
    shop_matters: Iterable[Matter],
    handovers: Handovers,
    turn: Turn,
    coming: Turn,
    station: str = "",
) -> list[Candidate]:
    """The items for the end of `turn`; of one bench only with `station`.

    What can hurt, what runs, what falls due and what is asked is proposed whenever it began; unfinished work
    and trouble only when somebody of this shift touched it, since older ones were handed over before.
    """
    here = [one for one in glances if not one.released and (not station or one.station == station)]
    waiting = handovers.open_items()
    fresh = {one.key: one for one in _of_units(here, turn, coming, {one.item.key for one in waiting})}
    if not station:
        fresh.update((one.key, one) for one in _of_shop(shop_matters, coming))
    stands = {one.tag for one in here}
    for handed in waiting:
        if not station or not stands.isdisjoint(handed.item.units):
            one = _carried(handed, fresh.get(handed.item.key))
            fresh[one.key] = one
    return sorted(fresh.values(), key=lambda one: (one.risk.rank, -one.carries, one.unit, one.key))


def _of_units(glances: Iterable[Glance], turn: Turn, coming: Turn, waiting: Collection[str]) -> Iterator[Candidate]:
    """What can hurt, what runs and what is asked stands by itself; the rest of a unit is one item, or a piece of
    its station's when the work was only begun. `waiting` are the keys of items that nobody accepted."""
    begun: dict[str, list[Piece]] = {}
    for glance in glances:
        rest: list[Matter] = []
        for matter in glance.matters:
            if not matter.risk or not _is_proposed(matter, turn, coming):
                continue
            if matter.risk in TOGETHER:
                rest.append(matter)
            else:
                key = f"{glance.tag}/{matter.section}/{matter.refers}"
                yield Candidate(key, glance.tag, matter.risk, f"{glance.what}: {matter.says}")
        if not rest:
            continue
        key, says = f"{glance.tag}/work", f"{glance.what}: {'; '.join(one.says for one in rest)}"
        told = [one for one in rest if one.section is not Section.BEGUN]
        if told or key in waiting:
            risk = min((one.risk for one in told or rest if one.risk), key=lambda one: one.rank)
            yield Candidate(key, glance.tag, risk, says)
        else:
            part_way = any(one.refers == PART_WAY for one in rest)
            begun.setdefault(glance.station, []).append(Piece(unit=glance.tag, says=says[:4000], part_way=part_way))
    yield from (_of_station(f"{station}/work", pieces) for station, pieces in begun.items())


def _of_station(key: str, pieces: Iterable[Piece], carries: int = 0) -> Candidate:
    """``component work: 9 units begun, 3 part-way: U…, U…, U…; the others: U…``. One unit alone speaks for itself."""
    known = sorted(pieces, key=lambda one: (not one.part_way, one.unit))
    if len(known) == 1:
        return Candidate(key, known[0].unit, Risk.ACROSS, known[0].says, carries, tuple(known))
    half = [one.unit for one in known if one.part_way]
    rest = [one.unit for one in known if not one.part_way]
    says = f"{key.partition('/')[0].replace('_', ' ')}: {len(known)} units "
    if half and rest:
        says += f"begun, {len(half)} part-way: {', '.join(half)}; the others: {', '.join(rest)}"
    else:
        says += f"{'part-way' if half else 'begun'}: {', '.join(half or rest)}"
    return Candidate(key, "", Risk.ACROSS, says, carries, tuple(known))


def _of_shop(matters: Iterable[Matter], coming: Turn) -> Iterator[Candidate]:
    for matter in matters:
        if matter.risk and (matter.section is not Section.DUE or falls_due(matter, coming)):
            yield Candidate(f"SHOP/{matter.section}/{matter.refers}", "", matter.risk, matter.says)


def _is_proposed(matter: Matter, turn: Turn, coming: Turn) -> bool:
    match matter.section:
        case Section.DUE:
            return falls_due(matter, coming)
        case Section.BEGUN | Section.BAD:
            return matter.at is not None and matter.at >= turn.starts
    return True


def _carried(handed: Handed, fresh: Candidate | None) -> Candidate:
    """Goes on as it is now; of a station's units none drops out that the item before had."""
    item = handed.item
    asked = f" (asked: {handed.question})" if handed.question and not handed.reply else ""
    if item.pieces:
        now = {one.unit: one for one in (*item.pieces, *(fresh.pieces if fresh else ()))}
        one = _of_station(item.key, now.values(), item.number)
        return replace(one, says=f"{one.says}{asked}")
    says = fresh.says if fresh else item.says
    return Candidate(item.key, item.unit, fresh.risk if fresh else item.risk, f"{says}{asked}", item.number)
