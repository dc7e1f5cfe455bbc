"""Commands for what everybody has to know: the brief of a shift, notes and questions to the shop."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any
from uuid import UUID

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json, write_file
from traveller.commands.unit import need_station
from traveller.record.heat_runs.times import read_moment
from traveller.record.notices import read_whom
from traveller.record.shifts import zone_of

if TYPE_CHECKING:
    from traveller.record.brief.brief import Brief, Line
    from traveller.record.shop import Shop


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


COMMANDS: list[click.Command] = [brief, shop_note]
