"""A kept deed that others were before: the words in which the person sees what stands on the record instead."""

from __future__ import annotations

from collections.abc import Callable

from traveller.errors import Refused
from traveller.record.acts.afterwards import Meanwhile
from traveller.record.entries import Entry
from traveller.record.saying import Names, said
from traveller.record.shop import Shop
from traveller.store.desk import local


class MustBeAsked(Refused):
    """Raised inside the transaction in which the deed would have been done; nothing is written."""

    def __init__(self, found: Meanwhile, shop: Shop, asked: Callable[[str], str] = str) -> None:
        """`asked` says what a check asks."""
        words = [_on_record(one, shop, asked) for one in found.entries]
        super().__init__(*words, *([f"{found.stale} meanwhile: measure again"] if found.stale else []))
        self.found = found


def _on_record(entry: Entry, shop: Shop, asked: Callable[[str], str]) -> str:
    words = said(entry, Names(asked, shop.called, shop.zone))
    return f"{entry.body.kind}: {words or '-'}, by {shop.called(entry.by)} at {local(shop, entry.at):%H:%M}"
