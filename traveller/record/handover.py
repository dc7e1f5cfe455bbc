"""What was handed over, item by item: who gave it, who accepted it, what is still open.

Folded from the entries on the shop's record. An item is open until it is accepted, or until a later
handover carries it on.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Literal
from uuid import UUID

from traveller.counting import many
from traveller.record.handover_entries import HandoverPrepared, Item, ItemAccepted, ItemAsked, ItemReplied

if TYPE_CHECKING:
    from traveller.record.entries import Body, Entry

KEPT = 20
"""So many handovers that are done stay at hand; older ones are in the record only."""


@dataclass(frozen=True)
class Handed:
    """One item and what became of it. `question` is the last one asked about it, `reply` what was said to it."""

    item: Item
    handover: UUID
    state: Literal["open", "asked", "accepted", "carried"] = "open"
    question: str = ""
    asked_by: str = ""
    reply: str = ""
    by: str = ""
    at: datetime | None = None
    talked: bool = False
    remark: str = ""

    @property
    def is_open(self) -> bool:
        return self.state in ("open", "asked")

    def may_be_asked_about(self, by: str) -> bool:
        """While it waits by anybody; afterwards by whoever accepted it: nothing is taken over by a slip of the hand."""
        return self.is_open or (self.state == "accepted" and self.by == by)


@dataclass(frozen=True)
class Handover:
    id: UUID
    body: HandoverPrepared
    by: str
    at: datetime

    @property
    def what(self) -> str:
        """``early Mon 3 Mar to late Mon 3 Mar``, with the bench when it is one bench only."""
        bench = f", bench {self.body.station.replace('_', ' ')}" if self.body.station else ""
        return f"{self.body.from_shift} to {self.body.to_shift}{bench}"


@dataclass(frozen=True)
class Handovers:
    """`items` by number, `given` by identifier, both in the order in which they were entered."""

    given: dict[UUID, Handover] = field(default_factory=dict)
    items: dict[int, Handed] = field(default_factory=dict)
    numbers: int = 0

    def open_items(self) -> list[Handed]:
        """What nobody has accepted: what is most dangerous if forgotten first, then the oldest."""
        return sorted((one for one in self.items.values() if one.is_open), key=_by_risk)

    def of(self, handover: UUID) -> list[Handed]:
        return sorted((one for one in self.items.values() if one.handover == handover), key=_by_risk)

    def is_confirmed(self, handover: UUID) -> bool:
        return not any(one.is_open for one in self.of(handover))


def _by_risk(handed: Handed) -> tuple[int, int]:
    return handed.item.risk.rank, handed.item.number


def with_entry(state: Handovers, entry: Entry, body: Body) -> Handovers:
    """The state after one more entry of the shop; entries of other kinds change nothing."""
    match body:
        case HandoverPrepared():
            return _prepared(state, entry, body)
        case ItemAccepted(item=number) if _open(state, number):
            taken = replace(state.items[number], state="accepted", by=entry.by, at=entry.at)
            return _with_item(state, number, replace(taken, talked=body.talked, remark=body.remark))
        case ItemAsked(item=number) if number in state.items and state.items[number].may_be_asked_about(entry.by):
            handed = state.items[number]
            return _with_item(state, number, Handed(handed.item, handed.handover, "asked", body.text, entry.by))
        case ItemReplied(item=number) if _open(state, number):
            return _with_item(state, number, replace(state.items[number], state="open", reply=body.text))
    return state


def _open(state: Handovers, number: int) -> bool:
    return number in state.items and state.items[number].is_open


def _with_item(state: Handovers, number: int, changed: Handed) -> Handovers:
    return replace(state, items={**state.items, number: changed})


def _prepared(state: Handovers, entry: Entry, body: HandoverPrepared) -> Handovers:
    fresh = {one.number: Handed(one, entry.id) for one in body.items if one.number not in state.items}
    carried = {one.item.carries for one in fresh.values() if _open(state, one.item.carries)}
    items = {
        number: replace(one, state="carried", at=entry.at) if number in carried else one
        for number, one in state.items.items()
    }
    given = {**state.given, entry.id: Handover(entry.id, body, entry.by, entry.at)}
    numbers = max((state.numbers, *fresh))
    return _without_old_ones(Handovers(given, {**items, **fresh}, numbers))


def _without_old_ones(state: Handovers) -> Handovers:
    open_ones = {one.handover for one in state.items.values() if one.is_open}
    done = [one for one in state.given if one not in open_ones]
    forgotten = set(done[:-KEPT])
    if not forgotten:
        return state
    return replace(
        state,
        given={key: one for key, one in state.given.items() if key not in forgotten},
        items={number: one for number, one in state.items.items() if one.handover not in forgotten},
    )


def counted(items: Iterable[Handed]) -> str:
    """``3 items`` or ``1 item``."""
    return many(sum(1 for _ in items), "item")
