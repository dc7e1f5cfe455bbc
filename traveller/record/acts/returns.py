"""A unit came back: linked to its earlier traveller, its warranty decided, with a reason."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from traveller.errors import Refused
from traveller.record.acts.answer import answer
from traveller.record.acts.foreseen import foreseen
from traveller.record.acts.rights import Proposed, need_judge, need_open, need_role, need_words
from traveller.record.answers import Answer, Calculated, Chosen
from traveller.record.return_entries import FaultAgain, Returned
from traveller.record.shop import Person, Shop
from traveller.record.view import UnitView
from traveller.record.warranty import JUDGE, warranty_by
from traveller.sheets import Check

SEEN_BEFORE, WARRANTY = "goods_in.seen_before", "goods_in.warranty"


def returned(
    view: UnitView, person: Person, earlier: UnitView, fault: FaultAgain, reason: str, shop: Shop, today: date
) -> list[Proposed]:
    """The link, and the answers to the checks of goods-in that ask the same. Refused when it is another unit."""
    need_open(view)
    need_role(person, "link a unit to its earlier traveller", *view.book.first.who)
    _need_same_unit(view, earlier)
    release = earlier.unit.release
    if release is None:
        raise Refused(f"{earlier.unit.tag} was never released: the unit cannot have come back from it.")
    out, back = shop.day(release.at), shop.day(view.unit.booked_at or release.at)
    until = _until(view, out) if release.outcome == "repair" else None
    body = Returned(
        earlier=earlier.unit.tag,
        seal=release.digest,
        released_on=out,
        fault=fault,
        covered=until is not None and back <= until,
        until=until,
        reason=need_words(reason, "why: what shows that it is the same fault, or another"),
    )
    proposed = [Proposed(body)]
    for key, given in _answers(body, back):
        now = foreseen(view, person, proposed)
        check = now.book.check(key)
        if check and now.proof.is_asked(check) and _fits(check, given):
            proposed += answer(now, person, key, given, today=today)
    return proposed


def _need_same_unit(view: UnitView, earlier: UnitView) -> None:
    here, there = view.unit.nameplate, earlier.unit.nameplate
    if view.unit.tag == earlier.unit.tag:
        raise Refused(f"{view.unit.tag} is this traveller itself: name the earlier one.")
    if here is None or there is None or here.serial.casefold() != there.serial.casefold():
        raise Refused(f"{earlier.unit.tag} has another serial number: compare the nameplates.")
    if here.maker.casefold() != there.maker.casefold():
        raise Refused(f"{earlier.unit.tag} is of another maker ({there.maker}): compare the nameplates.")


def _until(view: UnitView, out: date) -> date:
    return warranty_by(need_judge(view, JUDGE), out).until


def _answers(body: Returned, back: date) -> Iterator[tuple[str, Answer]]:
    if not body.covered:
        yield SEEN_BEFORE, Chosen(option="back after warranty")
    elif body.fault != "not known":
        yield SEEN_BEFORE, Chosen(option=f"back under warranty {body.fault} fault")
    yield WARRANTY, Calculated(inputs={"released_on": str(body.released_on), "arrived_on": str(back)})


def _fits(check: Check, given: Answer) -> bool:
    return not isinstance(given, Chosen) or given.option in check.options
