"""Commands that look: at a unit, a queue, the floor, and at the soundness of the record."""

from __future__ import annotations

from pathlib import Path

import click

from traveller.commands.papers import compare_paper
from traveller.commands.portrait import card_data, card_line, group_line, redo_lines, unit_data, unit_lines
from traveller.commands.root import Caller, as_json, pass_caller, say, say_json, taking_long
from traveller.commands.unit import need_station, tag_argument
from traveller.counting import many
from traveller.record.pieces import grouped
from traveller.record.redoing import to_redo, voided_by_sending_back
from traveller.record.saying import Names


@click.command()
@tag_argument
@click.option("--history", is_flag=True, help="The entries, in order; pieces of samples in a row are one line.")
@click.option("--all", "each", is_flag=True, help="With --history: every entry on a line of its own.")
@as_json
@pass_caller
def show(caller: Caller, tag: str, history: bool, each: bool, as_json: bool) -> None:
    """Everything about one unit: what it is, where it stands, its checks, what is next."""
    with caller.workshop() as workshop:
        view, zone = workshop.unit(tag), workshop.shop().zone
    if as_json:
        data = unit_data(view)
        if history or each:
            data["entries"] = [one.model_dump(mode="json") for one in view.entries]
        say_json(data)
        return
    for line in unit_lines(view, zone):
        say(line)
    if history or each:
        names = Names(view.book.asked)
        for group in [(one,) for one in view.entries] if each else grouped(view.entries):
            say(group_line(group, names))


@click.command()
@tag_argument
@click.option("--if-back", "station", default="", metavar="STATION", help="And what would, if it were sent back.")
@as_json
@pass_caller
def redo(caller: Caller, tag: str, station: str, as_json: bool) -> None:
    """What has to be proved again on a unit, in route order, and why."""
    with caller.workshop() as workshop:
        view, zone = workshop.unit(tag), workshop.shop().zone
    need_station(view.book, station)
    again = to_redo(view)
    at_once, with_work = voided_by_sending_back(view, station) if station else ([], [])
    if as_json:
        keys = {"to_redo": again, "voided_at_once": at_once, "voided_by_work_there": with_work}
        say_json({name: [one.check.full_key for one in found] for name, found in keys.items()})
        return
    for line in redo_lines(view, zone):
        say(line)
    for one in at_once:
        say(f"sent back to {station}, goes stale: {one.check.full_key}")
    for one in with_work:
        say(f"a part fitted there, goes stale: {one.check.full_key}")
    if not again and not station:
        say("Nothing has to be done again.")


@click.command()
@click.argument("station", required=False, default="")
@as_json
@pass_caller
def queue(caller: Caller, station: str, as_json: bool) -> None:
    """What waits at STATION, or at all stations, by promised date."""
    with caller.workshop() as workshop:
        need_station(workshop.desk.stations.book, station)
        found = workshop.queue(station) if station else workshop.floor()
    if as_json:
        say_json([card_data(card) for card in found])
        return
    for card in found:
        say(card_line(card))
    say(many(len(found), "unit"))


@click.command()
@click.argument("text")
@as_json
@pass_caller
def find(caller: Caller, text: str, as_json: bool) -> None:
    """Find units by tag, serial number, customer, order or model."""
    with caller.workshop() as workshop:
        found = workshop.find(text)
    if as_json:
        say_json([card_data(card) for card in found])
        return
    for card in found:
        say(card_line(card))
    say(many(len(found), "unit") if found else f'Nothing here fits "{text}".')


@click.command()
@click.argument("what", required=False, default="", metavar="[TAG | REPORT.pdf]")
@click.option("--repair-cards", is_flag=True, help="Make the rows for queues and floor anew where they differ.")
@click.option("--accept-restored", is_flag=True, help="An old backup was restored on purpose: it is right from now on.")
@as_json
@click.pass_context
@pass_caller
def verify(
    caller: Caller, context: click.Context, what: str, repair_cards: bool, accept_restored: bool, as_json: bool
) -> None:
    """Walk the chain of one traveller, or of all, and name the first line that does not fit, and every picture and
    chunk of samples that was changed or is gone; or hold the PDF of a report against the record.

    For all, the database is also laid against what this terminal has seen: one from an old backup went back in time.
    """
    if what.casefold().endswith(".pdf"):
        _verify_paper(caller, context, Path(what), as_json)
        return
    tag = what.strip().upper()
    with taking_long("Walking every chain", "Nothing was changed."), caller.workshop() as workshop:
        broken = workshop.verify(tag)
        astray = [] if tag or broken else workshop.cards_astray(repair_cards)
        gone_back = [] if tag else workshop.keeping.gone_back(accept_restored)
    if as_json:
        say_json(
            {
                "broken": [{"subject": b.subject, "sequence": b.sequence, "what": b.what} for b in broken],
                "cards_astray": astray,
                "repaired": repair_cards,
                "gone_back": gone_back,
            }
        )
    for one in broken if not as_json else ():
        click.echo(f"{one.subject}, line {one.sequence}: {one.what}", err=True)
    for unit in astray if not as_json else ():
        made = "made anew" if repair_cards else "differs from its entries: run with --repair-cards"
        click.echo(f"{unit}: the row for queues {made}", err=True)
    for words in gone_back if not as_json else ():
        click.echo(words, err=True)
    if not as_json and not broken and not astray and not gone_back:
        say("Every line fits the one before it, every picture and sample its digest, every queue row its entries.")
    context.exit(1 if broken or (gone_back and not accept_restored) or (astray and not repair_cards) else 0)


def _verify_paper(caller: Caller, context: click.Context, file: Path, as_json: bool) -> None:
    with caller.workshop() as workshop:
        compared = compare_paper(workshop, file)
    if as_json:
        say_json({"tag": compared.tag, "agrees": not compared.complaints, "complaints": compared.complaints})
    for complaint in compared.complaints if not as_json else ():
        click.echo(complaint, err=True)
    if not as_json and not compared.complaints:
        say(f"{file.name} and the record of {compared.tag} agree, word by word and in what is drawn; the seal fits.")
    context.exit(1 if compared.complaints else 0)


COMMANDS: list[click.Command] = [show, redo, queue, find, verify]
