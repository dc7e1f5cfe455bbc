"""Joints and defects counted on a unit."""

from __future__ import annotations

from traveller.record.acts import inspection as acts
from traveller.record.acts.deeds.looking import CountingJoints
from traveller.record.view import UnitView
from traveller.store.keeping import Keeping


class InspectionDesk:
    def __init__(self, keeping: Keeping) -> None:
        self._keeping = keeping

    def see(
        self, tag: str, by: str, joint_class: str, how: str, opportunities: str = "", defects: str = ""
    ) -> UnitView:
        """`defects` as typed: ``C12 bridge; U3.4 void``."""
        seen = acts.joints_typed(joint_class, how, opportunities, defects)
        return self._keeping.do(tag, by, CountingJoints(seen=seen))
