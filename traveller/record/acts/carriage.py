"""Packing a unit: what is typed once answers every check of dispatch that asks the same."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from traveller.errors import Refused
from traveller.judgement import Finding
from traveller.quantities import Quantity
from traveller.record.acts.answer import answer
from traveller.record.acts.foreseen import foreseen
from traveller.record.acts.rights import Proposed, need_judge, need_open, need_role
from traveller.record.answers import Answer, Calculated, Chosen, NotApplicable, Read, Ticked, Written
from traveller.record.carriage_entries import Package, Packed
from traveller.record.forms import build
from traveller.record.shop import Person
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.view import UnitView
from traveller.sheets import Check, CheckKind
from traveller.vocabulary import HazardKind

WEIGHING = "dispatch.chargeable_weight"
SAFE_TO_PACK = (HazardKind.BATTERY, HazardKind.WEIGHT)
"""A lithium cell is declared and a heavy unit lifted by two: every other hazard is ended before packing."""


def pack(
    view: UnitView, person: Person, packed: Packed, instruments: Sequence[InstrumentUsed], today: date
) -> list[Proposed]:
    """The packing, and the answers to the checks of the last station that it gives."""
    need_open(view)
    need_role(person, "pack a unit", *view.book.last.who)
    _need_here(view, packed)
    if packed.abroad and not packed.customs:
        raise Refused("It goes abroad: write at least one customs line.")
    judged = packed.model_copy(update={"charged": tuple(_charged(view, one) for one in packed.packages)})
    proposed = [Proposed(judged)]
    for key, given in _answers(packed):
        now = foreseen(view, person, proposed)
        check = now.book.check(f"{view.book.last.key}.{key}")
        if check and now.proof.is_asked(check) and _fits(check, given):
            used = instruments if check.instrument else ()
            proposed += answer(now, person, check.full_key, given, used, today=today)
    return proposed


def _need_here(view: UnitView, packed: Packed) -> None:
    unit = view.unit
    if packed.scanned != unit.tag:
        raise Refused(f"The tag in hand is {packed.scanned}, the papers are for {unit.tag}: take the right unit.")
    if unit.station != view.book.last.key:
        here = view.sheet.name if view.sheet else "no station"
        raise Refused(f"{unit.tag} stands at {here}, not at {view.book.last.name}: it is not packed while it is open.")
    if standing := [one for one in unit.hazards.values() if one.kind not in SAFE_TO_PACK]:
        known = [f"{one.kind.label} ({view.proof.found(one)})" for one in standing]
        raise Refused(*(f"hazard: {one}: make safe, then pack" for one in known))


def _charged(view: UnitView, package: Package) -> Finding:
    judge = need_judge(view, WEIGHING)
    return judge.finding(build(judge.model, package.model_dump()))


def _answers(packed: Packed) -> Iterator[tuple[str, Answer]]:
    """Check by check, in the order in which one needs the other, what the packing answers."""
    yield "bagged", Ticked(yes=packed.shielded)
    yield "packing", Chosen(option=packed.packed_in)
    yield "wood_marked", _wood(packed)
    weight = sum(one.weight_kg for one in packed.packages)
    yield "weight", Read(reading=Quantity(value=round(weight, 6), unit="kg"))
    if len(packed.packages) == 1:
        sides = packed.packages[0].model_dump(exclude={"weight_kg"})
        yield "chargeable_weight", Calculated(inputs={name: f"{value:g}" for name, value in sides.items()})
    yield "customs", Ticked(yes=True) if packed.abroad else NotApplicable(reason="inside the country")
    yield "carrier", Written(text=f"{packed.carrier}, consignment {packed.consignment}")


def _wood(packed: Packed) -> Answer:
    marked = packed.wood == "heat-treated and marked"
    return Ticked(yes=True) if marked else NotApplicable(reason="no raw wood: plywood, board or carton")


def _fits(check: Check, given: Answer) -> bool:
    """Whether the check still asks what the packing answers: a workshop may have worded its own."""
    match given:
        case Chosen(option=option):
            return check.kind is CheckKind.CHOICE and option in check.options
        case NotApplicable():
            return check.may_not_apply
        case Calculated():
            return check.judge_name == WEIGHING
    kinds = {"tick": CheckKind.TICK, "reading": CheckKind.READING, "text": CheckKind.TEXT}
    return check.kind is kinds.get(given.kind)
