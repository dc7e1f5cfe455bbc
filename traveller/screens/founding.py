"""The first start of an empty shop: one sheet, and the shop works."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from traveller.screens.sheet_of_fields import Line, SheetOfFields, Values

if TYPE_CHECKING:
    from traveller.record.shop import Person
    from traveller.screens.page import Page
    from traveller.store.workshop import Workshop

INTRO = (
    "Nobody works here yet. This sheet lays the shop out and makes you its first shift lead, who may do "
    "everything; inspecting one's own work stays refused. A lead enrols the others."
)


def lay_out(page: Page[Any]) -> None:
    """Ask for what a shop needs to begin; then its first lead is signed on."""
    terminal, workshop = page.terminal, page.workshop
    stations = workshop.desk.stations.book.sheets

    def founded(person: Person) -> None:
        terminal.sign_on(person)
        words = f"The shop is laid out; your badge is {person.tag}. Ctrl+P, Register: people, instruments, rigs."
        terminal.call_after_refresh(terminal.tell, words)

    def job(values: Values) -> Person:
        person = _found(workshop, values)
        station = next(one.key for one in stations if one.name == values["station"])
        terminal.call_from_thread(terminal.remember, station=station)
        return person

    lines = [
        Line("shop", "name of the shop"),
        Line("zone", "time zone", "as in the IANA list: Europe/Oslo, America/Chicago", _zone_here()),
        Line("name", "your name", "the first shift lead"),
        Line("pin", "your PIN", "4 to 12 digits: signs you on without a badge, and every release", hidden=True),
        Line("again", "the PIN again", "so that no slip of the finger locks you out", hidden=True),
        Line("station", "this terminal stands at", options=tuple(one.name for one in stations)),
    ]
    page.app.push_screen(SheetOfFields("A new shop", lines, job, founded, intro=INTRO))


def _zone_here() -> str:
    from tzlocal import get_localzone_name

    try:
        return get_localzone_name()
    except (LookupError, ValueError):
        return "UTC"


def _found(workshop: Workshop, values: Values) -> Person:
    from traveller.errors import InputError

    if values["pin"] != values["again"]:
        raise InputError("The two PINs differ: type both again.")
    return workshop.registry.found(values["shop"], values["zone"], values["name"], values["pin"])
