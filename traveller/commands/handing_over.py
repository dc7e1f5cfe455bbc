"""Commands by which one shift hands over to the next: what is handed over, accepted, asked about."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import click

from traveller.commands.root import Caller, as_json, key_and_value, pass_caller, say, say_json
from traveller.counting import many

if TYPE_CHECKING:
    from traveller.record.handover import Handed
    from traveller.record.handover_entries import Piece
    from traveller.record.shop import Shop
    from traveller.store.handovers import Proposal, Waiting


@click.command("hand-over")
@click.option("--station", default="", help="One bench only, in the middle of the shift.")
@click.option("--sign", is_flag=True, help="Sign it; without this the items are only shown.")
@click.option("--to", "receiver", default="", metavar="WHO", help="Badge or name of who takes over what is live.")
@click.option("--words", default="", help="What else the incoming shift has to know.")
@click.option("--phone", default="", help="Where the outgoing lead can be reached.")
@click.option("--met", is_flag=True, help="Both talk it through; else it is written only.")
@click.option("--leave-out", multiple=True, metavar="KEY", help="An item by its key (--json shows it).")
@click.option("--remark", "remarks", multiple=True, metavar="KEY=TEXT", help="Words for one item.")
@click.option("--as-well", is_flag=True, help="On top of what somebody else has handed over for this shift.")
@as_json
@pass_caller
def hand_over(
    caller: Caller,
    station: str,
    sign: bool,
    receiver: str,
    words: str,
    phone: str,
    met: bool,
    leave_out: tuple[str, ...],
    remarks: tuple[str, ...],
    as_well: bool,
    as_json: bool,
) -> None:
    """Show what this shift hands over, and with --sign hand it over."""
    from traveller.record.acts.handover import Wording

    with caller.workshop() as workshop:
        if not sign:
            _show_proposal(workshop.handovers.proposal(caller.person.strip().upper(), station), as_json)
            return
        wording = Wording(
            station=station,
            words=words,
            phone=phone,
            receiver=receiver,
            met=met,
            as_well=as_well,
            remarks=dict(key_and_value(one) for one in remarks),
            left_out=leave_out,
        )
        given = workshop.handovers.prepare(caller.by, wording)
    if as_json:
        say_json({"id": given.id, **given.body.model_dump(mode="json")})
        return
    say(f"{given.what}: {many(len(given.body.items), 'item')} handed over; open until somebody accepts")


def _show_proposal(proposal: Proposal, as_json: bool) -> None:
    if as_json:
        items = [
            {
                "key": one.key,
                "unit": one.unit,
                "risk": str(one.risk),
                "says": one.says,
                "carries": one.carries,
                "pieces": [piece.model_dump(mode="json") for piece in one.pieces],
            }
            for one in proposal.items
        ]
        say_json({"from": proposal.turn.name, "to": proposal.coming.name, "items": items})
        return
    say(f"from {proposal.turn.in_words()}")
    say(f"to {proposal.coming.in_words()}")
    for one in proposal.items:
        carried = f" (item {one.carries}, nobody accepted it)" if one.carries else ""
        say(f"  {one.risk}: {_head(one.unit, one.pieces)}{one.says}{carried}")
        for piece in one.pieces if not one.unit else ():
            say(f"    {piece.unit} {piece.says}")
    say(f"{many(len(proposal.items), 'item')}; --sign hands over what is listed")


@click.command()
@click.argument("numbers", metavar="[ITEM]...", nargs=-1, type=int)
@click.option("--talked", is_flag=True, help="It was talked through with the outgoing shift.")
@click.option("--remark", default="", help="Said on taking over.")
@click.option("--ask", "question", default="", help="Ask about the item instead.")
@click.option("--reply", "answer", default="", help="Answer what was asked about the item.")
@as_json
@pass_caller
def accept(
    caller: Caller, numbers: tuple[int, ...], talked: bool, remark: str, question: str, answer: str, as_json: bool
) -> None:
    """Take over items by their numbers. Without a number it lists what waits."""
    with caller.workshop() as workshop:
        if numbers and question:
            for number in numbers:
                workshop.handovers.ask(caller.by, number, question)
        elif numbers and answer:
            for number in numbers:
                workshop.handovers.reply(caller.by, number, answer)
        elif numbers:
            workshop.handovers.accept(caller.by, numbers, talked, remark)
        shop, left = workshop.shop(), workshop.handovers.waiting(caller.person.strip().upper())
    if as_json:
        say_json(_waiting_data(left))
        return
    for one in left.all:
        say(item_line(one, shop))
        for piece in one.item.pieces if not one.item.unit else ():
            say(f"        {piece.unit} {piece.says}")
    say(f"{many(len(left.all), 'item')} not accepted yet, {len(left.mine)} of them for you or your crew")


def _head(unit: str, pieces: Sequence[Piece]) -> str:
    return "" if pieces and not unit else f"{unit or 'shop'} "


def _waiting_data(left: Waiting) -> list[dict[str, Any]]:
    mine = {one.item.number for one in left.mine}
    return [
        {
            **one.item.model_dump(mode="json"),
            "state": one.state,
            "question": one.question,
            "reply": one.reply,
            "by": left.given[one.handover].by,
            "at": left.given[one.handover].at,
            "from": left.given[one.handover].body.from_shift,
            "for_you": one.item.number in mine,
        }
        for one in left.all
    ]


def item_line(handed: Handed, shop: Shop) -> str:
    item, given = handed.item, shop.handovers.given[handed.handover]
    remark = f"; {item.remark}" if item.remark else ""
    asked = f" [asked: {handed.question}]" if handed.question and not handed.reply else ""
    reply = f" [asked: {handed.question}; reply: {handed.reply}]" if handed.reply else ""
    who = f"({shop.called(given.by)}, {given.body.from_shift})"
    return f"{item.number:>5} {item.risk.label}: {_head(item.unit, item.pieces)}{item.says}{remark}{asked}{reply} {who}"


COMMANDS: list[click.Command] = [hand_over, accept]
