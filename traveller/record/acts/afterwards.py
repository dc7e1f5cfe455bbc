"""A deed that was kept while the database was away, laid against what others did to the unit meanwhile."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID, uuid5

from pydantic import AwareDatetime, Field

from traveller.errors import Refused
from traveller.record import joints
from traveller.record.acts.deeds import AnyDeed
from traveller.record.acts.deeds.answering import Answering
from traveller.record.acts.deeds.deed import Deed, Looked
from traveller.record.acts.rights import Proposed
from traveller.record.entries import Body, Draft, Entry, made_inert
from traveller.record.matters import Matter, minds, touches
from traveller.record.shop import Shop, fold_shop
from traveller.record.unit import fold
from traveller.record.view import UnitView
from traveller.vocabulary import Plain

CLOCKS_APART = timedelta(minutes=10)
"""By so much two terminals of a shop may differ; a time before that is of a clock that was wrong."""
MEASURED = ("siblings", "trace", "runs")
"""Matters that are measured and that work on the unit overtakes, whatever the sheets ask."""


class Enclosed(Plain):
    """A picture that was handed in with a deed; its bytes lie beside the file, under their SHA-256."""

    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    name: str
    media_type: str


class Kept(Plain):
    """One deed as it was done. `record` is the shop's record that it belongs to, `tag` the unit or `SHOP`, `id` that
    of its first entry; `seen` is the number of the last entry that the person had before them, and `seen_at` its
    time. `minds` is what had to be as it was seen then; None in a line that an older program wrote."""

    id: UUID
    record: str
    tag: str
    deed: AnyDeed
    by: str
    terminal: str
    at: AwareDatetime
    seen: int
    seen_at: AwareDatetime | None = None
    minds: tuple[Matter, ...] | None = None
    enclosed: tuple[Enclosed, ...] = ()

    def time_of(self, now: datetime) -> datetime:
        """When it was done, as far as the terminal's clock could be right; else the time at which it is shared."""
        after = self.seen_at is None or self.at >= self.seen_at - CLOCKS_APART
        return self.at if after and self.at <= now else now


@dataclass(frozen=True)
class Meanwhile:
    """What others did that has to be seen first. With `stale` the proof was overtaken: it cannot be put on top."""

    entries: tuple[Entry, ...] = ()
    stale: str = ""


def entry_ids(first: UUID, count: int) -> list[UUID]:
    """The identifiers of all entries of one act: known before it is written, so a repeat is harmless."""
    return [first, *(uuid5(first, str(number)) for number in range(1, count))][:count]


def drafted(first: UUID, proposed: Sequence[Proposed]) -> list[Draft]:
    """What an act proposes as entries that have their identity and not yet their place."""
    return [
        made_inert(Draft(id=one_id, body=one.body, corrects=one.corrects, because=one.because))
        for one_id, one in zip(entry_ids(first, len(proposed)), proposed, strict=True)
    ]


def minded(proposed: Iterable[Proposed]) -> tuple[Matter, ...]:
    """What a deed minds that proposes these entries."""
    return tuple(sorted(minds(one.body for one in proposed)))


def meanwhile(kept: Kept, deed: Deed, scene: Looked) -> Meanwhile:
    """What has come onto the record since the person looked, not counting what was kept at the same terminal."""
    known = minded(deed.propose(scene)) if kept.minds is None else kept.minds
    others = [one for one in scene.view.entries if one.sequence > kept.seen and not _kept_here(one, kept)]
    touching = [one for one in others if deed.touched_by(one.body) or touches(one.body) & set(known)]
    stale = next(filter(None, (deed.overtaken_by(one.body) for one in others)), "")
    return Meanwhile(tuple(touching), stale or _overtaken(deed, known, scene.view, {one.sequence for one in others}))


def _kept_here(entry: Entry, kept: Kept) -> bool:
    return entry.shared is not None and entry.terminal == kept.terminal


def _overtaken(deed: Deed, known: Sequence[Matter], view: UnitView, numbers: set[int]) -> str:
    """Why a reading that was taken before may no longer be true; it would count as taken after what came between."""
    if isinstance(deed, Answering) and deed.corrects:
        return ""
    stale_after = {event for matter in known for event in _stale_after(matter, view)}
    later = [one for one in view.unit.disturbances if one.sequence in numbers and stale_after & set(one.events)]
    return view.proof.happened(later[-1]) if later else ""


def _stale_after(matter: Matter, view: UnitView) -> Iterable[str]:
    if matter.kind == "check":
        check = view.book.check(matter.name)
        return view.book.stale_after(check) if check else ()
    if matter.kind == "joints":
        return joints.stale_after(view.book)
    return ("work",) if matter.kind in MEASURED else ()


def provisional(kept: Kept, view: UnitView, proposed: Sequence[Proposed]) -> UnitView:
    """The unit as it will be when this is on the record, if nothing comes between."""
    entries = _entries(kept, view.unit.sequence, proposed)
    after = (*view.entries, *entries)
    return UnitView(fold(kept.tag, after), view.book, view.judges, after, view.kept | {entry.id for entry in entries})


def provisional_shop(kept: Kept, shop: Shop, bodies: Sequence[Body]) -> Shop:
    """The shop as it will be when this is on the record."""
    return fold_shop(_entries(kept, shop.sequence, [Proposed(body) for body in bodies]), shop)


def _entries(kept: Kept, after: int, proposed: Sequence[Proposed]) -> list[Entry]:
    return [
        Entry(
            id=draft.id,
            subject=kept.tag,
            sequence=number,
            at=kept.at,
            by=kept.by,
            terminal=kept.terminal,
            body=draft.body,
            corrects=draft.corrects,
            because=draft.because,
        )
        for number, draft in enumerate(drafted(kept.id, proposed), after + 1)
    ]


def need_fresh(found: Meanwhile) -> None:
    """Refused when a reading was overtaken by work: it may not be put on top, it has to be taken again."""
    if found.stale:
        raise Refused(
            f"{found.stale} meanwhile: what was measured before it does not count. Drop it and measure again."
        )
