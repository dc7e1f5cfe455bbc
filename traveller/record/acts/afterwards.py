"""A deed that was kept while the database was away, laid against what others did to the unit meanwhile."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID, uuid5

from pydantic import AwareDatetime

from traveller.errors import Refused
from traveller.record.acts.deeds import Answering, AnyDeed, Deed
from traveller.record.acts.rights import Proposed
from traveller.record.entries import Draft, Entry, made_inert
from traveller.record.unit import fold
from traveller.record.view import UnitView
from traveller.vocabulary import Plain

CLOCKS_APART = timedelta(minutes=10)
"""By so much two terminals of a shop may differ; a time before that is of a clock that was wrong."""


class Kept(Plain):
    """One deed as it was done. `record` is the shop's record that it belongs to, `id` that of its first entry;
    `seen` is the number of the unit's last entry that the person had before them, and `seen_at` its time."""

    id: UUID
    record: str
    tag: str
    deed: AnyDeed
    by: str
    terminal: str
    at: AwareDatetime
    seen: int
    seen_at: AwareDatetime | None = None

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


def meanwhile(kept: Kept, view: UnitView) -> Meanwhile:
    """What has come onto the record since the person looked, not counting what was kept at the same terminal."""
    others = [one for one in view.entries if one.sequence > kept.seen and not _kept_here(one, kept)]
    touching = tuple(one for one in others if kept.deed.touched_by(one.body))
    numbers = {one.sequence for one in others}
    return Meanwhile(touching, _overtaken(kept.deed, view, numbers))


def _kept_here(entry: Entry, kept: Kept) -> bool:
    return entry.shared is not None and entry.terminal == kept.terminal


def _overtaken(deed: Deed, view: UnitView, numbers: set[int]) -> str:
    """Why a reading that was taken before may no longer be true; it would count as taken after what came between."""
    check = view.book.check(deed.check) if isinstance(deed, Answering) and not deed.corrects else None
    if check is None:
        return ""
    stale_after = set(view.book.stale_after(check))
    later = [one for one in view.unit.disturbances if one.sequence in numbers and stale_after & set(one.events)]
    return later[-1].says if later else ""


def provisional(kept: Kept, view: UnitView, proposed: Sequence[Proposed]) -> UnitView:
    """The unit as it will be when this is on the record, if nothing comes between."""
    start = view.unit.sequence + 1
    ids = entry_ids(kept.id, len(proposed))
    drafts = [
        made_inert(Draft(id=one_id, body=one.body, corrects=one.corrects, because=one.because))
        for one_id, one in zip(ids, proposed, strict=True)
    ]
    entries = [
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
        for number, draft in enumerate(drafts, start)
    ]
    after = (*view.entries, *entries)
    return UnitView(fold(kept.tag, after), view.book, view.judges, after, view.kept | set(ids))


def need_fresh(found: Meanwhile) -> None:
    """Refused when a reading was overtaken by work: it may not be put on top, it has to be taken again."""
    if found.stale:
        raise Refused(
            f"{found.stale} meanwhile: what was measured before it does not count. Drop it and measure again."
        )
