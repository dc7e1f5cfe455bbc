"""What is checked before every act: that the unit is open, and that this person may do this."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from traveller.errors import Refused
from traveller.record.entries import Body
from traveller.record.shop import Person
from traveller.record.view import UnitView
from traveller.vocabulary import Role


@dataclass(frozen=True)
class Proposed:
    """An entry that an act proposes; the store gives it its identity, its place and its time."""

    body: Body
    corrects: UUID | None = None
    because: str = ""


def need_open(view: UnitView) -> None:
    if view.unit.nameplate is None:
        raise Refused(f"{view.unit.tag} was never booked in: book it in first.")
    if view.unit.release:
        raise Refused(
            f"{view.unit.tag} was released on {view.unit.release.at:%Y-%m-%d} and its traveller is sealed: "
            "if the unit is back, book it in anew."
        )


def need_role(person: Person, act: str, *roles: Role) -> None:
    if not person.may(*roles):
        able = " or ".join(role.label for role in roles)
        has = ", ".join(role.label for role in person.roles) or "no role"
        raise Refused(f"{person.name} ({has}) may not {act}: that takes a {able}. Ask one to scan their badge.")


def need_words(text: str, what: str, most: int = 4000) -> str:
    words = text.strip()
    if not words:
        raise Refused(f"Say {what}: nothing was typed.")
    if len(words) > most:
        raise Refused(f"Say {what} in at most {most} characters: that is {len(words)}.")
    return words


def need_may_measure(view: UnitView, person: Person, act: str) -> None:
    """Measuring is for whoever works or looks at the unit, while it is open."""
    need_open(view)
    need_role(person, act, Role.TECHNICIAN, Role.INSPECTOR, Role.LOAD_TESTER, Role.LEAD)
