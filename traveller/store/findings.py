"""Findings, the estimate, and the customer's authority, written down for a unit."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from traveller.record.acts import findings as acts
from traveller.record.acts.deeds.looking import Investigating
from traveller.record.view import UnitView
from traveller.store.keeping import Keeping

WORD = "The customer's word"


class FindingsDesk:
    def __init__(self, keeping: Keeping) -> None:
        self._keeping = keeping

    def write(self, tag: str, by: str, typed: Mapping[str, str], look_again: date | None = None) -> UnitView:
        """`typed` holds the fields of `Investigated` as a person types them; numbers as ``2.5`` or ``1240,50``."""
        said = acts.findings_typed(typed)
        return self._keeping.do(tag, by, Investigating(found=said, look_again=look_again))

    def authority_given(self, tag: str, by: str, who: str, how: str, on: date, up_to: str, currency: str) -> UnitView:
        said = acts.authority_typed(who, how, on, up_to, currency)
        return self._keeping.shared(tag, by, lambda s: acts.authority(s.view, s.person, said, s.today), WORD)

    def authority_refused(self, tag: str, by: str, who: str, how: str, on: date, why: str = "") -> UnitView:
        said = acts.refusal_typed(who, how, on, why)
        return self._keeping.shared(tag, by, lambda s: acts.authority(s.view, s.person, said, s.today), WORD)
