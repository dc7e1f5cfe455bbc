"""A kept deed that others were before: the words in which the person sees what stands on the record instead."""

from __future__ import annotations

from traveller.errors import Refused
from traveller.record.acts.afterwards import Meanwhile
from traveller.record.entries import Entry
from traveller.record.saying import said
from traveller.record.shop import Shop
from traveller.store.desk import local


class MustBeAsked(Refused):
    """Raised inside the transaction in which the deed would have been done; nothing is written."""

    def __init__(self, found: Meanwhile, shop: Shop) -> None:
        words = [_on_record(one, shop) for one in found.entries]
        super().__init__(*words, *([f"{found.stale} meanwhile: measure again"] if found.stale else []))
        self.found = found


def _on_record(entry: Entry, shop: Shop) -> str:
    return f"{entry.body.kind}: {said(entry) or '-'}, by {shop.called(entry.by)} at {local(shop, entry.at):%H:%M}"
