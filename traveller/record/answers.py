"""What a person answered to a check, in the form in which it is kept."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from traveller.counting import many
from traveller.quantities import Quantity, show_quantity
from traveller.vocabulary import Plain

LONGEST_SHOWN = 60


class Ticked(Plain):
    kind: Literal["tick"] = "tick"
    yes: bool


class Chosen(Plain):
    kind: Literal["choice"] = "choice"
    option: str


class Read(Plain):
    """One measured value."""

    kind: Literal["reading"] = "reading"
    reading: Quantity


class ReadSideBySide(Plain):
    """The readings of siblings, in the order of the check's columns."""

    kind: Literal["table"] = "table"
    columns: tuple[str, ...]
    readings: tuple[Quantity, ...]


class Written(Plain):
    kind: Literal["text"] = "text"
    text: str


class Pictured(Plain):
    """Pictures by the SHA-256 of what is kept of them, and of the files they came from; the bytes lie in the store."""

    kind: Literal["photo"] = "photo"
    pictures: tuple[str, ...]
    names: tuple[str, ...] = ()
    originals: tuple[str, ...] = ()


class Scanned(Plain):
    kind: Literal["scan"] = "scan"
    tag: str


class Calculated(Plain):
    """What was typed into the fields of a calculation, field by field."""

    kind: Literal["calculation"] = "calculation"
    inputs: dict[str, str]


class NotApplicable(Plain):
    kind: Literal["not applicable"] = "not applicable"
    reason: str


Answer = Annotated[
    Ticked | Chosen | Read | ReadSideBySide | Written | Pictured | Scanned | Calculated | NotApplicable,
    Field(discriminator="kind"),
]


def in_words(answer: Answer) -> str:
    """The answer as one line for a person."""
    match answer:
        case Ticked(yes=yes):
            return "yes" if yes else "no"
        case Chosen(option=option):
            return option
        case Read(reading=reading):
            return show_quantity(reading)
        case ReadSideBySide(columns=columns, readings=readings):
            return ", ".join(f"{c} {show_quantity(r)}" for c, r in zip(columns, readings, strict=False))
        case Written(text=text):
            return text
        case Pictured(pictures=pictures, names=names):
            return ", ".join(names) or many(len(pictures), "picture")
        case Scanned(tag=tag):
            return tag
        case Calculated(inputs=inputs):
            return ", ".join(f"{name.replace('_', ' ')} {_short(value)}" for name, value in inputs.items())
        case NotApplicable(reason=reason):
            return f"not applicable: {reason}"


def _short(value: str) -> str:
    """A field as it was typed; of a long one, such as the points of a curve, its beginning."""
    return value if len(value) <= LONGEST_SHOWN else f"{value[:LONGEST_SHOWN]}…"
