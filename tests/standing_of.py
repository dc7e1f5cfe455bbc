"""How a check stands, named by its full key."""

from __future__ import annotations

from traveller.record.evidence import Standing
from traveller.record.view import UnitView


def standing_of(view: UnitView, key: str) -> Standing:
    check = view.book.check(key)
    assert check, f"the sheets do not ask {key}"
    return view.proof.standing(check)
