"""Booking in, moving on, sending back, holding, deciding, releasing."""

from __future__ import annotations

from datetime import date

from traveller.book import Book
from traveller.counting import many
from traveller.errors import InputError, Refused
from traveller.quantities import show
from traveller.record.acts.rights import Proposed, known_check, need_open, need_role, need_words
from traveller.record.entries import (
    BookedIn,
    Decided,
    EditionsMoved,
    HazardRaised,
    Held,
    Moved,
    Nameplate,
    Outcome,
    Placed,
    Released,
    Resumed,
    SentBack,
)
from traveller.record.evidence import Proof
from traveller.record.gate import energised
from traveller.record.shop import Person, Shop
from traveller.record.unit import Unit
from traveller.record.view import UnitView
from traveller.vocabulary import RATINGS, Role


def book_in(person: Person, nameplate: Nameplate, book: Book) -> list[Proposed]:
    """The first entries of a traveller; hazards that the kind of unit may bring are presumed until cleared."""
    need_role(person, "book a unit in", *book.first.who)
    need_likely(nameplate)
    editions = {sheet.key: sheet.edition for sheet in book.sheets}
    booked = BookedIn(nameplate=nameplate, station=book.first.key, editions=editions)
    return [Proposed(booked), *presumed(Unit(tag="", nameplate=nameplate), book)]


def need_likely(nameplate: Nameplate) -> None:
    """InputError for a rating that no nameplate has: 470 typed for 470 µF would widen every limit that rests on it."""
    for name, value in nameplate.ratings.items():
        rating = RATINGS.get(name)
        if rating and value > rating.at_most:
            raise InputError(
                f"{rating.label}: {show(value, rating.unit)} cannot be. Look at the prefix: type for example "
                f"{rating.example}."
            )


def presumed(unit: Unit, book: Book) -> list[Proposed]:
    """The hazards that a unit of this kind may bring, each raised until its check clears it."""
    asked = Proof(unit, book).asked()
    hazards = dict.fromkeys(check.clears for check in asked if check.presumed and check.clears)
    return [Proposed(HazardRaised(hazard=hazard, detail="presumed until measured")) for hazard in hazards]


def move_on(view: UnitView, person: Person) -> list[Proposed]:
    need_open(view)
    here, there = view.sheet, view.next_sheet
    if here is None or there is None:
        raise Refused("The unit stands at the last station: what is left is the release.")
    need_role(person, f"move a unit on from {here.name}", *here.who)
    if view.blockers:
        raise Refused(*(f"{reason.says}: {reason.todo}" for reason in view.blockers))
    return [Proposed(Moved(station=there.key))]


def send_back(view: UnitView, person: Person, station: str, found: str, check: str = "") -> list[Proposed]:
    """Back to an earlier station, with what was found as a nonconformity; one of the same words that is open already
    is not put down a second time."""
    need_open(view)
    here, there = view.sheet, view.book.sheet(station)
    if there is None:
        known = ", ".join(sheet.key for sheet in view.book.sheets)
        raise Refused(f'There is no station "{station}": it is one of {known}.')
    if here is None or there.order >= here.order:
        raise Refused(f"{there.name} does not lie before {here.name if here else 'here'}: a unit is sent back only.")
    need_role(person, f"send a unit back from {here.name}", *here.who, Role.LEAD)
    if check:
        known_check(view, check)
    if live := energised(view.proof):
        raise Refused(*(f"{reason.says}: {reason.todo}" for reason in live))
    words = need_words(found, "what was found")
    same = (one.id for one in view.unit.open_nonconformities() if (one.found, one.check) == (words, check))
    return [Proposed(SentBack(station=station, found=words, check=check, known=next(same, None)))]


def place(view: UnitView, person: Person, tag: str, shop: Shop) -> list[Proposed]:
    need_open(view)
    need_role(person, "put a unit on a shelf or rig", *Role)
    if tag not in shop.rigs and tag not in shop.shelves:
        raise Refused(f"{tag} is neither a shelf nor a rig of this shop: scan the tag on the shelf or rig.")
    return [Proposed(Placed(place=tag))]


def hold(view: UnitView, person: Person, reason: str, look_again: date, today: date) -> list[Proposed]:
    need_open(view)
    need_role(person, "put a unit on hold", *Role)
    if look_again < today:
        raise Refused(f"{look_again} is in the past: give the day on which somebody looks at the unit again.")
    if view.unit.hold:
        raise Refused(f"It is already on hold ({view.unit.hold.reason}): resume it first.")
    return [Proposed(Held(reason=need_words(reason, "what the unit waits for"), look_again=look_again))]


def resume(view: UnitView, person: Person, note: str = "") -> list[Proposed]:
    need_open(view)
    need_role(person, "resume a unit", *Role)
    if not view.unit.hold:
        raise Refused("The unit is not on hold: there is nothing to resume.")
    return [Proposed(Resumed(note=note.strip()))]


def decide(view: UnitView, person: Person, outcome: Outcome, reason: str, customers_word: str) -> list[Proposed]:
    """Repair, return unrepaired or scrap; all but repair take a lead and the customer's word."""
    need_open(view)
    need_role(person, "decide what becomes of a unit", Role.LEAD)
    if outcome != "repair":
        need_words(customers_word, "who of the customer agreed, when and how (the customer's word)")
    words = need_words(reason, "why")
    return [Proposed(Decided(outcome=outcome, reason=words, customers_word=customers_word.strip()))]


def move_to_editions(view: UnitView, person: Person, book: Book, reason: str) -> list[Proposed]:
    """Work the unit by the present editions of the sheets; changed checks are asked again."""
    need_open(view)
    need_role(person, "move a unit to new sheets", Role.LEAD)
    editions = {s.key: s.edition for s in book.sheets if view.unit.editions.get(s.key) != s.edition}
    if not editions:
        raise Refused("The unit is already worked by the present sheets.")
    return [Proposed(EditionsMoved(editions=editions, reason=need_words(reason, "why")))]


def statement_for(view: UnitView) -> str:
    """The sentence above the signature."""
    conceded = sum(one.state == "conceded" for one in view.unit.nonconformities.values())
    ending = f", with {many(conceded, 'concession')} that the customer agreed to" if conceded else ""
    made = {"repair": "repaired and proved", "return unrepaired": "returned unrepaired", "scrap": "scrapped"}
    return f"{made[view.unit.outcome]}: every check that this unit needs is done, passed and not stale{ending}"


def release(view: UnitView, person: Person, statement: str, digest: str) -> list[Proposed]:
    """The signature that lets the unit leave and closes its traveller."""
    need_open(view)
    need_role(person, "release a unit", *view.book.last.who)
    if view.reasons:
        raise Refused(*(f"{reason.says}: {reason.todo}" for reason in view.reasons))
    conceded = [one for one in view.unit.nonconformities.values() if one.state == "conceded"]
    body = Released(
        statement=need_words(statement, "what is released (the statement above the signature)"),
        outcome=view.unit.outcome,
        concessions=tuple(f"{one.found} (customer: {one.customers_word})" for one in conceded),
        digest=digest,
    )
    return [Proposed(body)]
