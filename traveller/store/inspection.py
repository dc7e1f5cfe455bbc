"""Joints and defects counted on a unit."""

from __future__ import annotations

from traveller.record.acts import inspection as acts
from traveller.record.view import UnitView
from traveller.store.desk import Desk


class InspectionDesk:
    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def see(
        self, tag: str, by: str, joint_class: str, how: str, opportunities: str = "", defects: str = ""
    ) -> UnitView:
        """`defects` as typed: ``C12 bridge; U3.4 void``."""
        seen = acts.joints_typed(joint_class, how, opportunities, defects)
        return self._desk.act(tag, by, lambda s: acts.see(s.view, s.person, seen))
