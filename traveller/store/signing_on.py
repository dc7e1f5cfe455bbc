"""Who is at the terminal: a badge, or a name with its PIN."""

from __future__ import annotations

from collections.abc import Sequence

from traveller.errors import Away, Refused
from traveller.record.shop import Person, Shop
from traveller.store import pins
from traveller.store.desk import Desk
from traveller.store.engine import reading, writing


def sign_on(desk: Desk, text: str, pin: str | None) -> Person:
    """By badge alone, or by name (or the start of it) and PIN; Refused in words."""
    with reading(desk.engine) as connection:
        shop = desk.shop(connection)
    person = person_meant(shop, text)
    if person.tag != text.strip().upper():
        need_pin(desk, person, pin)
    return person


def person_meant(shop: Shop, text: str) -> Person:
    """Whose badge it is, or whose name (or the start of it); Refused in words."""
    return shop.badge(text) or _called(text, shop)


def by_badge(shop: Shop, text: str) -> Person:
    """While the database is away: its people as they were seen last, by their badges. PINs lie in the database."""
    if person := shop.badge(text):
        return person
    raise Away("The database is away: scan your badge, a PIN cannot be looked up.")


def need_pin(desk: Desk, person: Person, pin: str | None) -> None:
    """In a transaction of its own: a wrong PIN stays counted whatever becomes of the act that asked for it."""
    with writing(desk.engine) as connection:
        right = bool(pin) and pins.try_pin(connection, person.tag, pin or "", desk.clock())
    if not right:
        raise Refused(f"That is not the PIN of {person.name}: type it again, or ask the shift lead.")


def _called(text: str, shop: Shop) -> Person:
    """The one person of this name; the start of it is enough when nobody else's name begins like that."""
    people: Sequence[Person] = shop.present()
    wanted = text.strip().casefold()
    begins = [one for one in people if wanted and one.name.casefold().startswith(wanted)]
    whole = [one for one in begins if one.name.casefold() == wanted]
    if len(whole) > 1:
        raise Refused(f"{len(whole)} people are called {whole[0].name}: scan the badge.")
    fits = whole or begins
    if len(fits) > 1:
        raise Refused(f"{', '.join(one.name for one in fits)}: type more of the name.")
    if not fits:
        raise Refused(f'Nobody called "{text}" works here: scan a badge, or ask the shift lead.')
    return fits[0]
