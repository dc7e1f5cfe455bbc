"""Giving and taking over: who may, what must be named, and what is told to the slower of two.

The outgoing person prepares and signs; somebody else goes through the items and accepts or asks. Nothing that
can hurt is passed over without a person who is named for it.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from traveller.counting import many
from traveller.errors import Overtaken, Refused
from traveller.record.acts.rights import need_role, need_words
from traveller.record.brief.proposing import Candidate
from traveller.record.entries import Body
from traveller.record.handover import Handed
from traveller.record.handover_entries import HandoverPrepared, Item, ItemAccepted, ItemAsked, ItemReplied, Risk
from traveller.record.shifts import Turn
from traveller.record.shop import Person, Shop
from traveller.vocabulary import Role

LATE = timedelta(minutes=45)
"""So long after its end a shift can still be handed over (common practice)."""

HANDS_ON_LIVE = (Role.TECHNICIAN, Role.LOAD_TESTER, Role.LEAD)


@dataclass(frozen=True)
class Wording:
    """What the outgoing person adds. `remarks` and `left_out` go by the keys of the proposed items, and so does
    `seen`: the marks of the items that the person has looked at (None for all that there are).

    `receiver` is a badge, `met` says that both talk it through, `as_well` that this comes on top of what somebody
    else has handed over for the same shift.
    """

    station: str = ""
    words: str = ""
    phone: str = ""
    receiver: str = ""
    met: bool = False
    as_well: bool = False
    remarks: Mapping[str, str] = field(default_factory=dict)
    left_out: Collection[str] = ()
    seen: Collection[str] | None = None


def turn_to_hand_over(shop: Shop, by: str, now: datetime) -> Turn:
    """The shift that is on; shortly after it began still the one before, but for a crew that has only just come."""
    turn = shop.turn(now)
    before = shop.roster.before(turn, shop.zone)
    crew = shop.crew_of(by)
    has_just_come = crew in turn.crews and crew not in before.crews
    return turn if has_just_come or now - turn.starts > LATE else before


def prepare(
    shop: Shop, person: Person, turn: Turn, coming: Turn, proposed: Sequence[Candidate], wording: Wording
) -> list[Body]:
    """The outgoing side signs. Refused when what is proposed has changed since it was looked at."""
    if not wording.station:
        need_role(person, "hand over a whole shift", Role.LEAD)
    else:
        need_role(person, "hand over a bench", *Role)
    if not wording.as_well:
        _need_first(shop, person, turn, wording)
    _need_all_seen(proposed, wording)
    kept = [one for one in proposed if one.key not in wording.left_out or not one.may_be_left_out]
    _need_receiver(shop, person, kept, wording)
    if not kept and not wording.words.strip():
        raise Refused("There is nothing to hand over: add words, if only that all is quiet.")
    items = tuple(
        Item(
            number=shop.handovers.numbers + place,
            key=one.key,
            unit=one.unit,
            risk=one.risk,
            says=one.says[:4000],
            remark=wording.remarks.get(one.key, "").strip(),
            carries=one.carries,
            pieces=one.pieces,
        )
        for place, one in enumerate(kept, 1)
    )
    body = HandoverPrepared(
        from_shift=turn.name,
        from_crew=turn.crew,
        to_shift=turn.name if wording.station else coming.name,
        to_crew=turn.crew if wording.station else coming.crew,
        station=wording.station,
        receiver=wording.receiver,
        met=wording.met,
        phone=wording.phone.strip(),
        words=wording.words.strip(),
        items=items,
    )
    return [body]


def _need_first(shop: Shop, person: Person, turn: Turn, wording: Wording) -> None:
    for one in shop.handovers.given.values():
        same = one.body.from_shift == turn.name and one.body.station == wording.station and one.at >= turn.starts
        if same and (not wording.station or not shop.handovers.is_confirmed(one.id)):
            who = "You have" if one.by == person.tag else f"{one.by} has"
            raise Overtaken(
                f"{who} handed over {one.what} already, with {len(one.body.items)} items. What you wrote is kept: "
                "look at it, then hand over as well if something is missing there."
            )


def _need_all_seen(proposed: Sequence[Candidate], wording: Wording) -> None:
    if wording.seen is None:
        return
    fresh = [one for one in proposed if not set(one.marks) <= set(wording.seen)]
    if fresh:
        said = "; ".join(f"{one.unit} {one.says}".strip() for one in fresh[:3])
        raise Overtaken(f"Since you looked {len(fresh)} more came up: {said}. Look at the list again, then sign.")


def _need_receiver(shop: Shop, person: Person, kept: Sequence[Candidate], wording: Wording) -> None:
    live = [one for one in kept if one.risk is Risk.LIVE]
    receiver = shop.people.get(wording.receiver)
    if receiver and receiver.tag == person.tag:
        raise Refused("You cannot hand over to yourself: name the person who takes over.")
    if not live:
        return
    what = "; ".join(f"{one.unit} {one.says}".strip() for one in live[:3])
    if receiver is None:
        raise Refused(
            f"Something live cannot be passed over to nobody ({what}). Name who takes it over, or make it safe "
            "first and clear the hazard."
        )
    if not receiver.may(*HANDS_ON_LIVE):
        raise Refused(
            f"{receiver.name} may not clear a hazard, so cannot take over what is live ({what}): name a "
            "technician, a load-test technician or a lead."
        )


def accept(
    shop: Shop, person: Person, numbers: Sequence[int], now: datetime, talked: bool = False, remark: str = ""
) -> list[Body]:
    """Each item by its number, each as an entry of its own. All or none."""
    if not numbers:
        raise Refused("Name at least one item by its number.")
    for number in dict.fromkeys(numbers):
        _need_may_accept(shop, person, _need_open(shop, number, now), remark)
    return [ItemAccepted(item=one, talked=talked, remark=remark.strip()) for one in dict.fromkeys(numbers)]


def _need_open(shop: Shop, number: int, now: datetime) -> Handed:
    handed = shop.handovers.items.get(number)
    if handed is None:
        raise Refused(f"There is no item {number} that waits: look at the list again.")
    if handed.is_open:
        return handed
    minutes = max(0, round((now - handed.at).total_seconds() / 60)) if handed.at else 0
    ago = f" {many(minutes, 'minute')} ago" if handed.at else ""
    if handed.state == "carried":
        raise Overtaken(f"Item {number} was handed on with a later handover{ago}: accept it there.")
    raise Overtaken(f"Item {number} was accepted by {shop.called(handed.by)}{ago}.")


def _need_may_accept(shop: Shop, person: Person, handed: Handed, remark: str) -> None:
    given = shop.handovers.given[handed.handover]
    number = handed.item.number
    if given.by == person.tag:
        raise Refused(f"You handed over item {number} yourself: somebody else accepts it.")
    if handed.state == "asked" and not remark.strip():
        raise Refused(
            f"Item {number} has a question that waits for its answer ({handed.question}): reply to it first, "
            "or accept it with words that say how it was settled."
        )
    if handed.item.risk is not Risk.LIVE:
        return
    need_role(person, f"take over item {number}, which is live", *HANDS_ON_LIVE)
    if given.body.receiver not in ("", person.tag) and not person.may(Role.LEAD):
        named = shop.called(given.body.receiver)
        raise Refused(f"Item {number} is live and {named} is named for it: they accept it, or a shift lead does.")


def ask(shop: Shop, person: Person, number: int, text: str, now: datetime) -> list[Body]:
    """About an item that waits; or about one that this person accepted, which thereby waits again."""
    need_role(person, "ask about an item", *Role)
    handed = shop.handovers.items.get(number)
    if handed is None or not handed.may_be_asked_about(person.tag):
        _need_open(shop, number, now)
    return [ItemAsked(item=number, text=need_words(text, "what is not clear"))]


def reply(shop: Shop, person: Person, number: int, text: str, now: datetime) -> list[Body]:
    handed = _need_open(shop, number, now)
    if handed.state != "asked":
        raise Refused(f"Nobody has asked about item {number}: accept it, or ask about it.")
    if handed.asked_by == person.tag:
        need_role(person, "answer your own question", Role.LEAD)
    return [ItemReplied(item=number, text=need_words(text, "the reply"))]
