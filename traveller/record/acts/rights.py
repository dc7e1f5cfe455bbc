"""What is checked before every act: that the unit is open, and that this person may do this."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from traveller.errors import Refused
from traveller.record.entries import Body
from traveller.record.forms import LoadedJudge
from traveller.record.shop import Person, Shop
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.view import UnitView
from traveller.sheets import Check
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


def need_instrument(shop: Shop, tag: str) -> InstrumentUsed:
    found = shop.instruments.get(tag)
    if found is None:
        raise Refused(f"{tag} is not an instrument of this shop: scan the tag on the instrument.")
    return found


def need_judge(view: UnitView, name: str) -> LoadedJudge:
    """A judge by its name; Refused when the stations of this shop have no check with it."""
    judge = view.judges.get(name)
    if judge is None:
        raise Refused(f"The stations of this shop have no check with the judge {name}: let a lead add one.")
    return judge


def known_check(view: UnitView, full_key: str) -> Check:
    """The check of this name, whether or not the unit is asked it; Refused says which one may be meant."""
    check = view.book.check(full_key)
    if check is None:
        near = [one.full_key for one in view.proof.asked() if one.key == full_key.rpartition(".")[2]]
        hint = f" Is {near[0]} meant?" if near else " `traveller show TAG` lists the checks of a unit."
        raise Refused(f"There is no check {full_key}.{hint}")
    return check


def need_may_measure(view: UnitView, person: Person, act: str) -> None:
    """Measuring is for whoever works or looks at the unit, while it is open."""
    need_open(view)
    need_role(person, act, Role.TECHNICIAN, Role.INSPECTOR, Role.LOAD_TESTER, Role.LEAD)
