"""Changes to a plan before the run starts, as a person types them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TypeVar

from pydantic import BaseModel, ValidationError

from traveller.errors import InputError
from traveller.quantities import read_quantity
from traveller.record.heat_runs.channels import Channel, read_channel
from traveller.record.heat_runs.plan import Plan, Step

Built = TypeVar("Built", bound=BaseModel)


@dataclass(frozen=True)
class Changes:
    """What is to be other than usual; what is empty stays. `steps` and `overload` are ``25 % 10 min, 50 % 10 min``;
    `channels` new ones or new words for known ones, `drop` names to leave out."""

    steps: str = ""
    hold: str = ""
    overload: str = ""
    band: str = ""
    every: str = ""
    gap: str = ""
    criterion: str = ""
    channels: Sequence[str] = ()
    drop: Sequence[str] = ()


def changed(plan: Plan, wanted: Changes) -> Plan:
    """The plan with the changes; InputError says what is wrong with one."""
    held = plan.hold
    if wanted.hold.strip():
        held = _built(Step, {**held.model_dump(), "minutes": _number(wanted.hold, "min", "hold")})
    raised = read_steps(wanted.steps, "raise") if wanted.steps.strip() else _of(plan, "raise")
    over = read_steps(wanted.overload, "overload") if wanted.overload.strip() else _of(plan, "overload")
    values = {
        **plan.model_dump(),
        "steps": (*raised, held, *over),
        "channels": _channels(plan, wanted),
        "band_percent": _number(wanted.band, "%", "band") if wanted.band.strip() else plan.band_percent,
        "reading_minutes": _number(wanted.every, "min", "every") if wanted.every.strip() else plan.reading_minutes,
        "gap_minutes": _number(wanted.gap, "min", "gap") if wanted.gap.strip() else plan.gap_minutes,
        "criterion": wanted.criterion.strip() or plan.criterion,
    }
    return _built(Plan, values)


def _built(model: type[Built], values: Mapping[str, object], typed: str = "") -> Built:
    """The model of these values; InputError says what is wrong, and in which of the words that were `typed`."""
    try:
        return model.model_validate(values)
    except ValidationError as error:
        said = "; ".join(_sentence(one["loc"], one["msg"]) for one in error.errors())
        raise InputError(f"{typed}: {said}" if typed else said) from None


def _sentence(place: Sequence[int | str], message: str) -> str:
    where = ".".join(part for part in place if isinstance(part, str)).replace("_", " ")
    said = message.removeprefix("Value error, ")
    return f"{where}: {said}" if where else said


def _of(plan: Plan, what: str) -> tuple[Step, ...]:
    return tuple(step for step in plan.steps if step.what == what)


def _number(text: str, unit: str, what: str) -> float:
    try:
        return read_quantity(text, unit).value
    except InputError as error:
        raise InputError(f"{what}: {error}") from None


def read_steps(text: str, what: str) -> tuple[Step, ...]:
    """``25 % 10 min, 50 % 10 min`` or ``25 10; 50 10``; ``none`` is no step."""
    if text.strip().casefold() in ("none", "-"):
        return ()
    found = []
    for part in text.replace(";", ",").split(","):
        words = part.replace("%", " ").replace("min", " ").split()
        if len(words) != 2:
            raise InputError(f'"{part.strip()}" is not a step: write percent and minutes, 25 % 10 min, with commas.')
        first, second = (_number(word, "", "step") for word in words)
        found.append(_built(Step, {"percent": first, "minutes": second, "what": what}, part.strip()))
    return tuple(found)


def _channels(plan: Plan, wanted: Changes) -> tuple[Channel, ...]:
    new = {one.name.casefold(): one for one in map(read_channel, wanted.channels)}
    gone = {name.strip().casefold() for name in wanted.drop}
    if unknown := gone - {one.name.casefold() for one in plan.channels}:
        known = ", ".join(one.name for one in plan.channels)
        raise InputError(f"{', '.join(sorted(unknown))} is no channel of the plan; they are {known}.")
    kept = [new.pop(one.name.casefold(), one) for one in plan.channels if one.name.casefold() not in gone]
    return (*kept, *new.values())
