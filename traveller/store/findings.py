"""Findings, the estimate, and the customer's authority, written down for a unit."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from traveller.record.acts import findings as acts
from traveller.record.view import UnitView
from traveller.store.desk import Desk


class FindingsDesk:
    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def write(self, tag: str, by: str, typed: Mapping[str, str], look_again: date | None = None) -> UnitView:
        """`typed` holds the fields of `Investigated` as a person types them; numbers as ``2.5`` or ``1240,50``."""
        said = acts.findings_typed(typed)
        return self._desk.act(tag, by, lambda s: acts.investigated(s.view, s.person, said, look_again, s.today))

    def authority_given(self, tag: str, by: str, who: str, how: str, on: date, up_to: str, currency: str) -> UnitView:
        said = acts.authority_typed(who, how, on, up_to, currency)
        return self._desk.act(tag, by, lambda s: acts.authority(s.view, s.person, said, s.today))

    def authority_refused(self, tag: str, by: str, who: str, how: str, on: date, why: str = "") -> UnitView:
        said = acts.refusal_typed(who, how, on, why)
        return self._desk.act(tag, by, lambda s: acts.authority(s.view, s.person, said, s.today))
