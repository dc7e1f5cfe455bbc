"""Commands for the shop's own register: people, instruments, rigs, shelves."""

from __future__ import annotations

from typing import Any

import click

from traveller.commands.root import Caller, as_json, pass_caller, say, say_json
from traveller.commands.secret import new_pin
from traveller.commands.unit import DAY
from traveller.store.registry import FOUNDER
from traveller.vocabulary import Role


@click.group()
def shop() -> None:
    """The shop's own register: its people, instruments, rigs and shelves."""


def _by(caller: Caller) -> str:
    return caller.person.strip().upper() or FOUNDER


@shop.command("name")
@click.argument("name")
@click.option("--zone", default="UTC", help="Time zone, for example Europe/Berlin.")
@click.option("--address", default="", help='Printed on the papers; lines are parted by ";".')
@pass_caller
def name_shop(caller: Caller, name: str, zone: str, address: str) -> None:
    """Name the shop, set its time zone and the address on its papers."""
    lines = "\n".join(line.strip() for line in address.split(";"))
    with caller.workshop() as workshop:
        workshop.registry.name_shop(name, zone, _by(caller), address=lines)
        say(f"{name}, {zone}")


@shop.command()
@click.argument("name")
@click.option("--role", "roles", multiple=True, required=True, type=click.Choice([str(r) for r in Role]))
@pass_caller
def enrol(caller: Caller, name: str, roles: tuple[str, ...]) -> None:
    """Enrol a person and set the PIN; prints the tag of the badge. The first person needs nobody's leave."""
    pin = new_pin(f"PIN for {name}")
    with caller.workshop() as workshop:
        say(workshop.registry.enrol(name, [Role(role) for role in roles], pin, _by(caller)))


@shop.command()
@click.argument("tag")
@pass_caller
def leave(caller: Caller, tag: str) -> None:
    """A person has left: the badge no longer signs on."""
    with caller.workshop() as workshop:
        workshop.registry.leave(tag.strip().upper(), _by(caller))
        say(f"{tag} no longer signs on")


@shop.command()
@click.argument("tag")
@pass_caller
def pin(caller: Caller, tag: str) -> None:
    """Set a person's PIN anew (shift lead)."""
    new = new_pin("New PIN")
    with caller.workshop() as workshop:
        workshop.registry.set_pin(tag.strip().upper(), new, _by(caller))
        say(f"{tag} has a new PIN")


@shop.command()
@click.argument("name")
@click.argument("instrument_class")
@click.option("--due", type=DAY, required=True, help="YYYY-MM-DD: the calibration holds to this day.")
@click.option("--percent", type=float, default=0.0, help="Expanded uncertainty (k = 2), percent of reading.")
@click.option("--absolute", type=float, default=0.0, help="Expanded uncertainty (k = 2), in the unit read.")
@click.option("--tag", default="", help="An instrument that has a tag: this is its next calibration.")
@pass_caller
def instrument(
    caller: Caller, name: str, instrument_class: str, due: Any, percent: float, absolute: float, tag: str
) -> None:
    """Register an instrument or its next calibration; prints its tag."""
    with caller.workshop() as workshop:
        say(
            workshop.registry.register_instrument(
                name, instrument_class, due.date(), _by(caller), percent, absolute, tag.strip().upper()
            )
        )


@shop.command()
@click.argument("name")
@click.option("--max-volts", type=float, default=0.0)
@click.option("--max-amps", type=float, default=0.0)
@click.option("--max-power", type=float, default=0.0)
@click.option("--load", "loads", multiple=True, help="Kind of load it has, for example motor; may be repeated.")
@click.option("--tag", default="", help="A rig that has a tag: these are its new figures.")
@pass_caller
def rig(
    caller: Caller,
    name: str,
    max_volts: float,
    max_amps: float,
    max_power: float,
    loads: tuple[str, ...],
    tag: str,
) -> None:
    """Register a load rig, or new figures of one; prints its tag. A unit runs only on a rig that states all three."""
    with caller.workshop() as workshop:
        known = tag.strip().upper()
        say(workshop.registry.register_rig(name, _by(caller), max_volts, max_amps, max_power, loads, known))


@shop.command()
@click.argument("name")
@pass_caller
def shelf(caller: Caller, name: str) -> None:
    """Register a shelf; prints its tag."""
    with caller.workshop() as workshop:
        say(workshop.registry.register_shelf(name, _by(caller)))


@shop.command("show")
@as_json
@pass_caller
def show_shop(caller: Caller, as_json: bool) -> None:
    """Everybody and everything that has a tag, other than units."""
    with caller.workshop() as workshop:
        register, today = workshop.shop(), workshop.today()
    if as_json:
        say_json(
            {
                "name": register.name,
                "zone": register.zone,
                "people": [
                    {"tag": p.tag, "name": p.name, "roles": [str(r) for r in p.roles]} for p in register.present()
                ],
                "instruments": [one.model_dump(mode="json") for one in register.instruments.values()],
                "rigs": [one.model_dump(mode="json") for one in register.rigs.values()],
                "shelves": [one.model_dump(mode="json") for one in register.shelves.values()],
            }
        )
        return
    say(f"{register.name or 'a shop without a name'}, {register.zone}")
    for person in register.present():
        say(f"{person.tag}  {person.name}: {', '.join(role.label for role in person.roles)}")
    for meter in register.instruments.values():
        state = "in calibration to" if meter.calibration_due >= today else "OUT OF CALIBRATION since"
        say(f"{meter.tag}  {meter.name}, {meter.instrument_class}, {state} {meter.calibration_due}")
    for tag in (*register.rigs, *register.shelves):
        say(f"{tag}  {register.called(tag)}")


COMMANDS: list[click.Command] = [shop]
