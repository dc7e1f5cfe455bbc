"""The parts list of a unit, and the work list that is worked out from it."""

from __future__ import annotations

from collections.abc import Sequence

from pydantic import ValidationError

from traveller.errors import InputError, Refused
from traveller.record.acts.rights import Proposed, need_open, need_role
from traveller.record.acts.work import WORKERS
from traveller.record.parts import FIELDS, PartsOnUnit
from traveller.record.parts_entries import Part, PartAdded, PartsListed
from traveller.record.places import expanded
from traveller.record.replacement import Replacement, WorkedOut, worked_out
from traveller.record.shop import Person
from traveller.record.view import UnitView
from traveller.record.work_entries import WorkPlanned


def list_parts(view: UnitView, person: Person, parts: Sequence[Part], origin: str) -> list[Proposed]:
    """The whole list anew; `origin` is the file or the unit that it comes from."""
    need_open(view)
    need_role(person, "enter a parts list", *WORKERS)
    if not parts:
        raise Refused("A parts list has at least one part.")
    return [Proposed(PartsListed(parts=tuple(parts), origin=origin[:120]))]


def take_from(view: UnitView, person: Person, earlier: UnitView) -> list[Proposed]:
    """The parts list of another unit of the same maker and model."""
    need_open(view)
    return list_parts(view, person, parts_of(view, earlier), origin(earlier.unit.tag))


def origin(earlier: str) -> str:
    """Where the parts list of another unit comes from, in words."""
    return f"earlier unit {earlier}"


def parts_of(view: UnitView, earlier: UnitView) -> tuple[Part, ...]:
    """The parts of another unit; Refused when it is another model or has no list."""
    mine, theirs = view.unit.nameplate, earlier.unit.nameplate
    if mine is None or theirs is None or _model(mine.maker, mine.model) != _model(theirs.maker, theirs.model):
        model = f"{theirs.maker} {theirs.model}" if theirs else "not booked in"
        raise Refused(f"{earlier.unit.tag} is another model ({model}): its parts list says nothing about this unit.")
    if not earlier.unit.parts.parts:
        raise Refused(f"{earlier.unit.tag} has no parts list to take over: import its list, or name another unit.")
    return tuple(earlier.unit.parts.parts.values())


def _model(maker: str, model: str) -> tuple[str, str]:
    return " ".join(maker.casefold().split()), " ".join(model.casefold().split())


def add(view: UnitView, person: Person, references: str, part: Part) -> list[Proposed]:
    """Parts by hand, all like `part`, at the places that are named."""
    need_open(view)
    need_role(person, "enter a parts list", *WORKERS)
    return [Proposed(PartAdded(part=part.model_copy(update={"reference": one}))) for one in expanded(references)]


def part_by_hand(kind: str, **typed: str) -> Part:
    """The part that was described; its reference is still to be given. InputError names what is too long."""
    drives = typed.pop("drives", "")
    try:
        return Part.model_validate(
            {**typed, "reference": "X", "kind": kind, "drives": expanded(drives) if drives.strip() else ()}
        )
    except ValidationError as error:
        name = str(error.errors()[0]["loc"][0])
        said = f"{name.replace('_', ' ')} cannot be taken" if name in FIELDS else f"{name} is not known of a part"
        raise InputError(f"{said}: write at most 120 characters.") from None


def would_plan(view: UnitView, policy: Replacement, failed: Sequence[str]) -> list[WorkedOut]:
    """What working the list out would plan, for the unit as it stands; `failed` are places as typed."""
    return worked_out(view.unit, policy, [place for typed in failed for place in expanded(typed)])


def work_out(view: UnitView, person: Person, policy: Replacement, failed: Sequence[str]) -> list[Proposed]:
    """Plan everything that is missing on the work list, in one go."""
    need_open(view)
    need_role(person, "plan work", *WORKERS)
    lines = would_plan(view, policy, failed)
    if not lines:
        raise Refused(_why_nothing(view.unit.parts))
    return [
        Proposed(
            WorkPlanned(
                reference=line.reference,
                part=line.part,
                reason=line.reason,
                matched_set=line.matched_set,
                because=f"{line.because} ({policy.source})" if line.reason != "failed" else line.because,
                action=line.action,
            )
        )
        for line in lines
    ]


def _why_nothing(parts: PartsOnUnit) -> str:
    if not parts.parts:
        return "There is no parts list, and nothing failed: enter the list first, or name what failed."
    return "Nothing is missing: all that has to be replaced or checked is on the list, or was struck from it."
