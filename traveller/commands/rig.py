"""Commands for the load rigs: what is booked, booking, freeing, out of use and fit again."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json
from traveller.commands.unit import tag_argument
from traveller.errors import InputError
from traveller.record.heat_runs.times import read_moment, read_span
from traveller.record.shifts import zone_of

if TYPE_CHECKING:
    from traveller.record.rigs import Booking
    from traveller.record.shop import Shop
    from traveller.store.workshop import Workshop

rig_argument = click.argument("rig", callback=lambda _c, _p, value: value.strip().upper())


@click.group()
def rig() -> None:
    """The load rigs on a time line: list, book, free, out of use, fit."""


@rig.command("list")
@as_json
@pass_caller
def list_rigs(caller: Caller, as_json: bool) -> None:
    """Every rig with what it takes, its state and its bookings."""
    with caller.workshop() as workshop:
        shop, booked = workshop.shop(), workshop.rigs.booked()
    if as_json:
        say_json([_rig_data(shop, tag, booked[tag]) for tag in shop.rigs])
        return
    for tag, there in shop.rigs.items():
        state = f"OUT OF USE: {there.out_of_use}" if there.out_of_use else "fit"
        loads = f", {', '.join(there.loads)}" if there.loads else ""
        say(f"{tag}  {there.name}: {there.max_volts:g} V, {there.max_amps:g} A, {there.max_power:g} W{loads}; {state}")
        for one in booked[tag]:
            say(f"    {_booking_words(one, shop)}")
    if not shop.rigs:
        say("No rig is registered: `traveller shop rig NAME` registers one.")


def _booking_words(one: Booking, shop: Shop) -> str:
    zone = zone_of(shop.zone)
    span = f"{one.begins.astimezone(zone):%Y-%m-%d %H:%M} to {one.ends.astimezone(zone):%Y-%m-%d %H:%M}"
    note = f" ({one.note})" if one.note else ""
    return f"{span}  {one.unit}{', in use' if one.in_use() else ''}, by {shop.called(one.by)}{note}"


def _rig_data(shop: Shop, tag: str, booked: list[Booking]) -> dict[str, Any]:
    return {
        **shop.rigs[tag].model_dump(mode="json", exclude={"kind"}),
        "bookings": [
            {"unit": b.unit, "begins": b.begins, "ends": b.ends, "by": b.by, "note": b.note, "in_use": b.in_use()}
            for b in booked
        ],
    }


@rig.command()
@rig_argument
@tag_argument
@click.option("--from", "begins", default="now", help="14:30 (today), 2026-12-01 14:30, or now.")
@click.option("--until", "ends", default="", help="The same.")
@click.option("--for", "span", default="", help="Instead of --until: 3 h, 90 min.")
@click.option("--note", default="")
@pass_caller
def book(caller: Caller, rig: str, tag: str, begins: str, ends: str, span: str, note: str) -> None:
    """Book RIG for the unit TAG. Two bookings of one rig never overlap."""
    with caller.workshop() as workshop:
        start, end = read_window(workshop, begins, ends, span)
        workshop.rigs.book(rig, tag, start, end, caller.by, note)
        say(f"{rig} is booked for {tag}")


def read_window(workshop: Workshop, begins: str, ends: str, span: str) -> tuple[datetime, datetime]:
    """From and until, in UTC, as they were typed."""
    zone, now = zone_of(workshop.shop().zone), workshop.desk.clock()
    start = read_moment(begins, zone, now)
    if bool(ends.strip()) == bool(span.strip()):
        raise InputError("Say how long: either until when, or for how long, for example 3 h.")
    return start, start + read_span(span) if span.strip() else read_moment(ends, zone, now)


@rig.command()
@rig_argument
@tag_argument
@click.option("--why", default="")
@pass_caller
def free(caller: Caller, rig: str, tag: str, why: str) -> None:
    """Give back what is booked of RIG for the unit TAG."""
    with caller.workshop() as workshop:
        workshop.rigs.free(rig, tag, caller.by, why)
        say(f"{rig} is free of {tag}")


@rig.command()
@rig_argument
@click.argument("why")
@pass_caller
def out(caller: Caller, rig: str, why: str) -> None:
    """Take RIG out of use, and say why."""
    with caller.workshop() as workshop:
        workshop.rigs.out_of_use(rig, caller.by, why)
        say(f"{rig} is out of use: {why}")


@rig.command()
@rig_argument
@pass_caller
def fit(caller: Caller, rig: str) -> None:
    """RIG is fit for use again."""
    with caller.workshop() as workshop:
        workshop.rigs.out_of_use(rig, caller.by, "")
        say(f"{rig} is fit for use")


COMMANDS: list[click.Command] = [rig]
