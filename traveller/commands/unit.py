"""Commands that change one unit."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any
from uuid import UUID

import click

from traveller.commands.portrait import unit_data
from traveller.commands.root import Caller, as_json, pass_caller, say, say_json, used
from traveller.errors import InputError
from traveller.judgement import Finding
from traveller.quantities import read_quantity
from traveller.record.entries import Answered, Nameplate
from traveller.record.forms import build
from traveller.record.notices import read_whom
from traveller.vocabulary import RATINGS, HazardKind, UnitKind

if TYPE_CHECKING:
    from traveller.book import Book
    from traveller.record.view import UnitView

tag_argument = click.argument("tag", callback=lambda _c, _p, value: value.strip().upper())
DAY = click.DateTime(formats=["%Y-%m-%d"])


def tell(view: UnitView, json_wanted: bool, said: str) -> None:
    """After an act: what was done and what comes next, or the whole unit as JSON."""
    if json_wanted:
        say_json(unit_data(view))
    else:
        say(f"{view.unit.tag}: {said}")
        say(f"next: {view.next_step()}")


def need_station(book: Book, station: str) -> None:
    """UsageError when a station is named that is none of these."""
    if station and book.sheet(station) is None:
        known = ", ".join(sheet.key for sheet in book.sheets)
        raise click.UsageError(f"There is no station {station}: it is one of {known}.")


def say_working(finding: Finding | None, more: tuple[str, ...] = ()) -> None:
    """The working of a finding with its limit, source and caution, and further lines."""
    for line in (*(finding.working if finding else ()), *more):
        say(f"  {line}")
    if finding:
        for label, text in (("limit", finding.limit), ("source", finding.source), ("caution", finding.caution)):
            if text:
                say(f"  {label}: {text}")


def read_ratings(pairs: tuple[str, ...]) -> dict[str, float]:
    """``output_amps=12`` or ``dc_link_capacitance=470u`` as plain SI values."""
    ratings: dict[str, float] = {}
    for pair in pairs:
        name, equals, text = pair.partition("=")
        if not equals or name not in RATINGS:
            raise InputError(f'"{pair}": write NAME=VALUE, NAME one of {", ".join(RATINGS)}.')
        ratings[name] = read_quantity(text, RATINGS[name].unit).value
    return ratings


def nameplate_options(command: Any) -> Any:
    options = (
        click.option("--kind", type=click.Choice([str(kind) for kind in UnitKind]), required=True),
        click.option("--maker", required=True),
        click.option("--model", required=True),
        click.option("--serial", required=True),
        click.option("--customer", required=True),
        click.option("--order", default=""),
        click.option("--fault", required=True, help="In the customer's words, and when it shows."),
        click.option("--promised", type=DAY, default=None, help="YYYY-MM-DD"),
        click.option("--rating", "ratings", multiple=True, metavar="NAME=VALUE", help=", ".join(RATINGS)),
    )
    for option in reversed(options):
        command = option(command)
    return command


def read_nameplate(typed: dict[str, Any]) -> Nameplate:
    promised = typed["promised"]
    return build(
        Nameplate,
        {
            "unit_kind": UnitKind(typed["kind"]),
            "maker": typed["maker"],
            "model": typed["model"],
            "serial": typed["serial"],
            "customer": typed["customer"],
            "order": typed["order"],
            "fault": typed["fault"],
            "promised": promised.date() if promised else None,
            "ratings": read_ratings(typed["ratings"]),
        },
    )


@click.command("book-in")
@nameplate_options
@as_json
@pass_caller
def book_in(caller: Caller, /, as_json: bool, **typed: Any) -> None:
    """Book a unit in: opens its traveller and prints its tag."""
    nameplate = read_nameplate(typed)
    with caller.workshop() as workshop:
        before = workshop.seen_before(nameplate.serial, nameplate.maker)
        view = workshop.book_in(caller.by, nameplate)
        tell(view, as_json, "booked in")
        if before and not as_json:
            say(f"this serial number was here before: {', '.join(card.tag for card in before)}")


@click.command("correct-nameplate")
@tag_argument
@nameplate_options
@click.option("--because", required=True)
@as_json
@pass_caller
def correct_nameplate(caller: Caller, /, tag: str, because: str, as_json: bool, **typed: Any) -> None:
    """Correct what was booked; both versions stay, and what rested on the old one is asked again."""
    with caller.workshop() as workshop:
        tell(workshop.correct_nameplate(tag, caller.by, read_nameplate(typed), because), as_json, "corrected")


@click.command()
@tag_argument
@click.argument("check")
@click.argument("value", nargs=-1, required=True)
@used
@click.option("--corrects", type=UUID, default=None, help="The entry that this answer corrects.")
@click.option("--because", default="", help="Why it is corrected.")
@as_json
@pass_caller
def answer(
    caller: Caller,
    tag: str,
    check: str,
    value: tuple[str, ...],
    instruments: tuple[str, ...],
    corrects: UUID | None,
    because: str,
    as_json: bool,
) -> None:
    """Answer a check (STATION.CHECK) with a VALUE as a technician writes it: 0.62, 2k2, "0.41 0.42 0.40", y."""
    with caller.workshop() as workshop:
        view = workshop.answer(tag, check, " ".join(value), caller.by, instruments, corrects=corrects, because=because)
        body = view.entries[-1].body
        if as_json or not isinstance(body, Answered):
            tell(view, as_json, "recorded")
            return
        say(f"{tag}: {body.finding.verdict}: {body.finding.says}")
        say_working(body.finding)
        say(f"next: {view.next_step()}")


@click.command()
@tag_argument
@click.argument("entry", type=UUID)
@click.option("--because", required=True)
@as_json
@pass_caller
def withdraw(caller: Caller, tag: str, entry: UUID, because: str, as_json: bool) -> None:
    """Take an answer or a note off the record's sum; the line itself stays."""
    with caller.workshop() as workshop:
        tell(workshop.withdraw(tag, entry, caller.by, because), as_json, "withdrawn")


@click.command()
@tag_argument
@click.argument("text")
@click.option("--question", is_flag=True, help="Keeps the unit from leaving until it is replied to.")
@click.option("--to", default="", help="Who should reply.")
@click.option("--done", default="", help="What is done.")
@click.option("--next", "next_step", default="", help="What comes next.")
@click.option("--watch", default="", help="What to watch.")
@click.option("--for", "for_whom", default="", metavar="NAMES", help="Who must see it: badges, crews or stations.")
@as_json
@pass_caller
def note(
    caller: Caller,
    tag: str,
    text: str,
    question: bool,
    to: str,
    done: str,
    next_step: str,
    watch: str,
    for_whom: str,
    as_json: bool,
) -> None:
    """Write a note on a unit, or ask a question."""
    with caller.workshop() as workshop:
        if question:
            tell(workshop.ask(tag, caller.by, text, to), as_json, "asked")
        else:
            whom = read_whom(for_whom)
            tell(workshop.note(tag, caller.by, text, done, next_step, watch, whom), as_json, "noted")


@click.command()
@tag_argument
@click.argument("question", type=UUID)
@click.argument("text")
@as_json
@pass_caller
def reply(caller: Caller, tag: str, question: UUID, text: str, as_json: bool) -> None:
    """Reply to an open question of a unit (`traveller show TAG --json` lists them)."""
    with caller.workshop() as workshop:
        tell(workshop.reply(tag, question, caller.by, text), as_json, "replied")


@click.command()
@tag_argument
@click.option("--back", "station", default="", metavar="STATION", help="Send back to an earlier station.")
@click.option("--found", default="", help="What was found, with --back.")
@click.option("--check", default="", help="The check that found it, with --back.")
@click.option("--to-place", default="", metavar="TAG", help="Put it on this shelf or rig; it stays at its station.")
@as_json
@pass_caller
def move(caller: Caller, tag: str, station: str, found: str, check: str, to_place: str, as_json: bool) -> None:
    """Move a unit on to its next station, send it back, or put it on a shelf or rig."""
    with caller.workshop() as workshop:
        if to_place:
            tell(workshop.place(tag, to_place.upper(), caller.by), as_json, f"placed on {to_place}")
        elif station:
            view = workshop.send_back(tag, station, caller.by, found, check)
            tell(view, as_json, f"sent back to {station}")
        else:
            view = workshop.move_on(tag, caller.by)
            tell(view, as_json, f"moved on to {view.sheet.name if view.sheet else view.unit.station}")


@click.command()
@tag_argument
@click.argument("reason")
@click.option("--look-again", type=DAY, required=True, help="YYYY-MM-DD: the day on which somebody looks.")
@as_json
@pass_caller
def hold(caller: Caller, tag: str, reason: str, look_again: Any, as_json: bool) -> None:
    """Put a unit on hold: it waits for something, until a day to look again."""
    day: date = look_again.date()
    with caller.workshop() as workshop:
        tell(workshop.hold(tag, caller.by, reason, day), as_json, f"on hold, look again {day}")


@click.command()
@tag_argument
@click.option("--note", default="")
@as_json
@pass_caller
def resume(caller: Caller, tag: str, note: str, as_json: bool) -> None:
    """Take a unit off hold."""
    with caller.workshop() as workshop:
        tell(workshop.resume(tag, caller.by, note), as_json, "resumed")


@click.command()
@tag_argument
@click.argument("kind", type=click.Choice([str(kind) for kind in HazardKind]))
@click.argument("words")
@click.option("--clear", is_flag=True, help="WORDS say what was measured or done.")
@as_json
@pass_caller
def hazard(caller: Caller, tag: str, kind: str, words: str, clear: bool, as_json: bool) -> None:
    """Raise a hazard on a unit, or clear one by signature."""
    with caller.workshop() as workshop:
        act = workshop.clear_hazard if clear else workshop.raise_hazard
        tell(act(tag, HazardKind(kind), caller.by, words), as_json, "cleared" if clear else "raised")


COMMANDS: list[click.Command] = [
    book_in,
    correct_nameplate,
    answer,
    withdraw,
    note,
    reply,
    move,
    hold,
    resume,
    hazard,
]
