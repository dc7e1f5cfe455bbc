"""Commands of the changing shift: the brief, handing over, accepting, notes to the shop."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import UUID

import click

from traveller.commands.root import Caller, as_json, key_and_value, pass_caller, say, say_json, write_file
from traveller.commands.unit import need_station
from traveller.record.heat_runs.times import read_moment
from traveller.record.notices import read_whom
from traveller.record.shifts import zone_of

if TYPE_CHECKING:
    from traveller.record.brief.brief import Brief, Line
    from traveller.record.handover import Handed
    from traveller.record.handover_entries import Piece
    from traveller.record.shop import Shop
    from traveller.store.handovers import Proposal, Waiting


@click.command()
@click.option("--station", default="", help="Only units at this station.")
@click.option("--crew", default="", help="Only what this crew entered or what is meant for it.")
@click.option("--rig", default="", metavar="TAG", help="Only units on this rig or shelf.")
@click.option("--since", default="", metavar="WHEN", help="06:00, 2031-03-03 or both, by the shop's clock.")
@click.option("--pdf", type=click.Path(path_type=Path, dir_okay=False), default=None, help="Print it as one page.")
@as_json
@pass_caller
def brief(caller: Caller, station: str, crew: str, rig: str, since: str, pdf: Path | None, as_json: bool) -> None:
    """What the incoming shift has to know. With --as it is written for that person."""
    with caller.workshop() as workshop:
        shop = workshop.shop()
        need_station(workshop.desk.stations.book, station)
        reader = caller.person.strip().upper()
        seen = read_moment(since, zone_of(shop.zone), workshop.desk.clock()) if since.strip() else None
        made = workshop.briefing.brief(reader, station, crew, rig.strip().upper(), seen)
    if pdf:
        from traveller.documents.board_sheet import board_sheet

        write_file(pdf, board_sheet(made, shop.name, shop.called))
        say(f"{pdf}: the brief of {made.turn.name}, {len(made.lines)} lines")
    elif as_json:
        say_json(brief_data(made))
    else:
        for line in brief_lines(made, shop):
            say(line)


def brief_data(made: Brief) -> dict[str, Any]:
    from traveller.record.brief.brief import SHOWN

    turn = made.turn
    return {
        "shift": {"name": turn.name, "crew": turn.crew, "hours": turn.hours, "starts": turn.starts, "ends": turn.ends},
        "reader": made.reader,
        "since": made.since,
        "hidden": made.hidden,
        "hidden_dangers": made.hidden_dangers,
        "clock": made.complaint,
        "sections": {
            str(section): [
                {
                    "unit": line.unit,
                    "station": line.station,
                    "says": line.says,
                    "by": line.matter.by,
                    "at": line.matter.at,
                    "refers": line.matter.refers,
                    "late": line.late,
                }
                for line in made.under(section)
            ]
            for section in SHOWN
        },
    }


def brief_lines(made: Brief, shop: Shop) -> Iterator[str]:
    from traveller.record.brief.brief import SHOWN

    yield made.turn.in_words()
    if made.complaint:
        yield f"! {made.complaint}"
    if made.hidden:
        danger = f", {made.hidden_dangers} of them dangerous" if made.hidden_dangers else ""
        yield f"only {made.wanted.in_words()}: {made.hidden} lines are kept back{danger}"
    for section in SHOWN:
        lines = made.under(section)
        yield f"{section.rank} {section} ({len(lines)})"
        for line in lines:
            head = " ".join(part for part in (_about(line), line.what, line.station.replace("_", " ")) if part)
            who = f" ({shop.called(line.matter.by)})" if line.matter.by else ""
            yield f"  {head}: {line.says}{who}"


def _about(line: Line) -> str:
    return line.unit or ("units" if line.station else "shop")


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
    say(f"{given.what}: {len(given.body.items)} items handed over; they stay open until somebody accepts them")


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
    say(f"{len(proposal.items)} item(s); --sign hands them over")


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
    say(f"{len(left.all)} item(s) wait, {len(left.mine)} of them for you or your crew")


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
    return f"{item.number:>5} {item.risk}: {_head(item.unit, item.pieces)}{item.says}{remark}{asked}{reply} {who}"


@click.command("shop-note")
@click.argument("text", required=False, default="")
@click.option("--done", default="", help="What is done.")
@click.option("--next", "next_step", default="", help="What comes next.")
@click.option("--watch", default="", help="What to watch.")
@click.option("--for", "for_whom", default="", metavar="NAMES", help="Badges, crews or stations, with commas.")
@click.option("--question", is_flag=True, help="A question, open until it is answered.")
@click.option("--to", default="", help="Who should reply.")
@click.option("--reply", "replied", type=UUID, default=None, metavar="ID", help="TEXT answers this question.")
@click.option("--seen", type=UUID, default=None, metavar="ID", help="I have read this note.")
@click.option("--end", "ended", type=UUID, default=None, metavar="ID", help="It is no longer needed; TEXT says why.")
@as_json
@pass_caller
def shop_note(
    caller: Caller,
    text: str,
    done: str,
    next_step: str,
    watch: str,
    for_whom: str,
    question: bool,
    to: str,
    replied: UUID | None,
    seen: UUID | None,
    ended: UUID | None,
    as_json: bool,
) -> None:
    """Write a note or a question to the shop as a whole. Without TEXT it lists what stands."""
    with caller.workshop() as workshop:
        notices = workshop.notices
        if replied:
            notices.reply(caller.by, replied, text)
        elif seen:
            notices.seen(caller.by, seen)
        elif ended:
            notices.end(caller.by, ended, text)
        elif text and question:
            notices.ask(caller.by, text, to)
        elif text:
            notices.note(caller.by, text, done, next_step, watch, read_whom(for_whom))
        shop = workshop.shop()
    standing = shop.notices
    if as_json:
        say_json(
            {
                "notes": [
                    {"id": one.id, "by": one.by, "at": one.at, **one.body.model_dump(mode="json"), "seen": one.seen}
                    for one in standing.notes.values()
                ],
                "questions": [
                    {"id": one.id, "text": one.text, "to": one.to, "by": one.by, "at": one.at}
                    for one in standing.questions.values()
                ],
            }
        )
        return
    for note in standing.notes.values():
        whom = f" for {', '.join(note.body.for_whom)}" if note.body.for_whom else ""
        read = ", ".join(shop.called(who) for who in note.seen) or "nobody yet"
        say(f"{note.id} note{whom}: {note.says} ({shop.called(note.by)}); seen by {read}")
    for asked in standing.questions.values():
        say(f"{asked.id} question: {asked.text} ({shop.called(asked.by)})")


COMMANDS: list[click.Command] = [brief, hand_over, accept, shop_note]
