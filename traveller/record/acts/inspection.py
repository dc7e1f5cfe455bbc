"""Looking at joints: each class counted by somebody who did not do the work."""

from __future__ import annotations

import re

from traveller.errors import InputError, Refused
from traveller.record.acts import answer as answering
from traveller.record.acts.rights import Proposed, need_open, need_role
from traveller.record.answers import Calculated
from traveller.record.forms import build
from traveller.record.inspection_entries import COUNTED, DefectSeen, JointClass, JointsSeen
from traveller.record.joints import DEFECTS, Count, Counts, classes_left, standing_counts, sums
from traveller.record.shop import Person
from traveller.record.view import UnitView
from traveller.sheets import CheckKind
from traveller.vocabulary import Role

UNDER_THE_PART = JointClass.AREA_ARRAY


def defects_typed(text: str) -> tuple[DefectSeen, ...]:
    """``C12 bridge; U3.4: void`` as the defects that it names, place first."""
    defects = []
    for one in filter(None, (part.strip() for part in re.split(r"[;\n]", text))):
        place, what = [*re.split(r"[:\s]+", one, maxsplit=1), ""][:2]
        if not what.strip():
            raise InputError(f'"{one}": write the place and what is wrong there, for example C12 bridge; U3.4 void.')
        defects.append(build(DefectSeen, {"place": place, "what": what}))
    return tuple(defects)


def joints_typed(joint_class: str, how: str, opportunities: str, defects: str) -> JointsSeen:
    """One count as a person types it."""
    count = opportunities.strip() or "0"
    if not re.fullmatch(r"\d{1,7}", count):
        raise InputError(f'"{opportunities}" is not a count of joints: type a whole number, for example 240.')
    found = defects_typed(defects)
    fields = {"joint_class": joint_class, "how": how, "opportunities": int(count), "defects": found}
    return build(JointsSeen, fields)


def see(view: UnitView, person: Person, seen: JointsSeen) -> list[Proposed]:
    """Write one count down. When nothing is left to look at, the check is answered with the sums."""
    need_open(view)
    _need_inspector(view, person)
    _need_sense(seen)
    proposed = [Proposed(seen)]
    after = _with(standing_counts(view.proof), view, person, seen)
    left = [one for one in classes_left(view.proof) if one is not seen.joint_class]
    defects, opportunities = sums(after)
    check = view.book.check(DEFECTS)
    if left or not opportunities or check is None or check.kind is not CheckKind.CALCULATION:
        return proposed
    if view.proof.is_asked(check):
        given = Calculated(inputs={"defects": str(defects), "opportunities_per_unit": str(opportunities)})
        proposed += answering.answer(view, person, DEFECTS, given)
    return proposed


def _with(counts: Counts, view: UnitView, person: Person, seen: JointsSeen) -> Counts:
    at = view.unit.last_at or view.entries[-1].at
    return {**counts, seen.joint_class: Count(seen, person.tag, at, view.unit.sequence + 1)}


def _need_inspector(view: UnitView, person: Person) -> None:
    check = view.book.check(DEFECTS)
    sheet = view.book.sheet(check.station) if check else None
    need_role(person, "count joints", *(sheet.who if sheet else (Role.INSPECTOR, Role.LEAD)))
    if sheet and view.sheet and view.sheet.order < sheet.order:
        raise Refused(f"Joints are counted at {sheet.name}; the unit stands at {view.sheet.name}. Move it on first.")
    if person.tag in view.proof.workers:
        raise Refused(f"{person.name} did work on this unit and may not inspect it: somebody else has to.")


def _need_sense(seen: JointsSeen) -> None:
    if seen.how not in COUNTED:
        if seen.opportunities or seen.defects:
            raise Refused(f"What is {seen.how} has no joints to count: leave count and defects empty.")
        if seen.how == "not to be seen" and seen.joint_class is not UNDER_THE_PART:
            raise Refused(f"Only joints of an {UNDER_THE_PART} lie under the part: look at the {seen.joint_class}.")
        return
    if not seen.opportunities:
        raise Refused("How many joints were looked at? Type their number, or say that there are none on this unit.")
    if len(seen.defects) > seen.opportunities:
        raise Refused(f"{len(seen.defects)} defects cannot come from {seen.opportunities} joints: count both again.")
    if seen.joint_class is UNDER_THE_PART and seen.how == "by eye":
        raise Refused(f"Joints of an {UNDER_THE_PART} lie under the part: by X-ray, or not to be seen.")
