"""Taking photos: of the unit, of a check, of a work line."""

from __future__ import annotations

from traveller.errors import Refused
from traveller.record.acts.rights import Proposed, need_open, need_role, need_words
from traveller.record.answers import Pictured
from traveller.record.photo_entries import PhotoTaken
from traveller.record.shop import Person
from traveller.record.view import UnitView
from traveller.vocabulary import Role


def shown_of(view: UnitView, named: str) -> str:
    """What a photo is of: a check by its full or its own key, a work line by its reference, or nothing."""
    name = named.strip()
    if not name or view.book.check(name):
        return name
    if name.upper() in view.unit.work:
        return name.upper()
    here = [check.full_key for check in view.proof.asked() if check.key == name]
    if len(here) == 1:
        return here[0]
    lines = ", ".join(view.unit.work) or "none"
    raise Refused(f"{name} is neither a check nor a work line ({lines}): leave it empty for the unit as a whole.")


def take(
    view: UnitView,
    person: Person,
    given: Pictured,
    of: str = "",
    caption: str = "",
) -> list[Proposed]:
    need_open(view)
    need_role(person, "add a photo", *Role)
    words = need_words(caption, "what the photo shows", most=400) if caption.strip() else ""
    body = PhotoTaken(
        of=shown_of(view, of),
        pictures=given.pictures,
        names=given.names,
        originals=given.originals,
        caption=words,
    )
    return [Proposed(body)]
