"""What the tool proposes to hand over at the end of a shift, what is most dangerous if forgotten first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from traveller.record.brief.brief import Glance, falls_due
from traveller.record.brief.matter import Matter, Section
from traveller.record.handover import Handed, Handovers
from traveller.record.handover_entries import Risk
from traveller.record.shifts import Turn

TOGETHER = (Risk.ACROSS, Risk.UNUSUAL, Risk.DUE)


@dataclass(frozen=True)
class Candidate:
    """`key` is the same for the same matter whenever it is proposed; `carries` is an item nobody accepted."""

    key: str
    unit: str
    risk: Risk
    says: str
    carries: int = 0

    @property
    def may_be_left_out(self) -> bool:
        """What can hurt and what runs is always handed over, and so is what the shift before left open."""
        return self.risk not in (Risk.LIVE, Risk.RUNNING) and not self.carries


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
    fresh = {one.key: one for one in _of_units(here, turn, coming)}
    if not station:
        fresh.update((one.key, one) for one in _of_shop(shop_matters, coming))
    stands = {one.tag for one in here}
    for handed in handovers.open_items():
        if not station or handed.item.unit in stands:
            one = _carried(handed, fresh.get(handed.item.key))
            fresh[one.key] = one
    return sorted(fresh.values(), key=lambda one: (one.risk.rank, -one.carries, one.unit, one.key))


def _of_units(glances: Iterable[Glance], turn: Turn, coming: Turn) -> Iterator[Candidate]:
    """What can hurt, what runs and what is asked stands by itself; the rest of a unit is one item."""
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
        if rest:
            risk = min((one.risk for one in rest if one.risk), key=lambda one: one.rank)
            says = "; ".join(one.says for one in rest)
            yield Candidate(f"{glance.tag}/work", glance.tag, risk, f"{glance.what}: {says}")


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
    item = handed.item
    says = fresh.says if fresh else item.says
    asked = f" (asked: {handed.question})" if handed.question and not handed.reply else ""
    return Candidate(item.key, item.unit, fresh.risk if fresh else item.risk, f"{says}{asked}", item.number)
