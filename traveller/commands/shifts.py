"""Commands for the shift pattern and the crews."""

from __future__ import annotations

from typing import Any

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json
from traveller.commands.unit import DAY
from traveller.errors import InputError
from traveller.record.shifts import Turn

SHOWN = 6


def _turn_data(turn: Turn) -> dict[str, Any]:
    return {
        "shift": turn.shift,
        "name": turn.name,
        "crews": turn.crews,
        "starts": turn.starts,
        "ends": turn.ends,
        "hours": turn.hours,
        "usual": turn.usual,
    }


@click.command()
@click.option("--shift", "shifts", multiple=True, metavar="NAME=HH:MM", help="A shift and its start; one for each.")
@click.option("--cycle", default="", help='A word for each day of the cycle, - is off: "E E L L N N - -".')
@click.option("--crew", "crews", multiple=True, metavar="NAME=DAYS", help="A crew and the days by which it lags.")
@click.option("--anchor", type=DAY, default=None, help="YYYY-MM-DD: the first day of a cycle.")
@click.option("--zone", default="", help="Time zone; the shop's own if left out.")
@click.option("--overlap", default=0, metavar="MINUTES", help="So long before its shift the incoming crew is there.")
@click.option("--reason", default="", help="Why it is changed.")
@as_json
@pass_caller
def pattern(
    caller: Caller,
    shifts: tuple[str, ...],
    cycle: str,
    crews: tuple[str, ...],
    anchor: Any,
    zone: str,
    overlap: int,
    reason: str,
    as_json: bool,
) -> None:
    """Show the pattern of shifts, or set it (shift lead). A new one holds from the end of the shift that is on."""
    from traveller.record.acts.shifts import read_crew, read_cycle, read_shift

    with caller.workshop() as workshop:
        if shifts:
            named = [read_shift(one) for one in shifts]
            days = read_cycle(cycle, named) if cycle else ()
            if crews and not (days and anchor):
                raise InputError("Crews need --cycle and --anchor: the days of the cycle and the first day of one.")
            turns = [read_crew(one, days) for one in crews]
            start = anchor.date() if anchor else workshop.today()
            set_at = workshop.shifts.set_pattern(caller.by, named, turns, start, zone, overlap, reason)
            if not as_json:
                valid = set_at.roster.set[-1].valid_from
                now = workshop.shifts.watch().now
                say(f"holds from {valid:%Y-%m-%d %H:%M} UTC; until then {now.name} goes on as it was")
        coming, warned = workshop.shifts.coming(SHOWN), workshop.shifts.warnings()
    if as_json:
        say_json({"turns": [_turn_data(one) for one in coming], "warnings": [one.says for one in warned]})
        return
    if coming[0].usual:
        say("This shop has set no pattern: three times 8 h are taken to be usual.")
    for turn in coming:
        say(turn.in_words())
    for one in warned:
        say(f"! {one.says} ({one.source})")


@click.command()
@click.argument("person", metavar="[BADGE]", required=False, default="")
@click.argument("name", metavar="[CREW]", required=False, default="")
@click.option("--none", "out", is_flag=True, help="The person belongs to no crew any more.")
@as_json
@pass_caller
def crew(caller: Caller, person: str, name: str, out: bool, as_json: bool) -> None:
    """Say who belongs to which crew, or put the person with this BADGE into a CREW (shift lead)."""
    with caller.workshop() as workshop:
        if person and not (name or out):
            raise InputError("Name the crew as well, or --none to take the person out of it.")
        if person:
            workshop.shifts.set_crew(person.strip().upper(), "" if out else name, caller.by)
        shop, watch, warned = workshop.shop(), workshop.shifts.watch(), workshop.shifts.warnings()
    members: dict[str, list[str]] = {}
    for one in shop.present():
        members.setdefault(shop.crew_of(one.tag), []).append(one.tag)
    if as_json:
        now, after = _turn_data(watch.now), _turn_data(watch.after)
        say_json({"now": now, "next": after, "crews": members, "warnings": [one.says for one in warned]})
        return
    say(f"now:  {watch.now.in_words()}")
    say(f"next: {watch.after.in_words()}")
    if watch.complaint:
        say(f"! {watch.complaint}")
    for which, tags in sorted(members.items()):
        say(f"{f'crew {which}' if which else 'no crew'}: {', '.join(f'{shop.called(tag)} {tag}' for tag in tags)}")
    for warning in warned:
        say(f"! {warning.says} ({warning.source})")


COMMANDS: list[click.Command] = [pattern, crew]
