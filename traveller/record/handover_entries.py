"""The kinds of entry by which one shift hands over to the next, and of the notes to the shop as a whole."""

from __future__ import annotations

from enum import StrEnum
from typing import Literal
from uuid import UUID

from pydantic import Field

from traveller.vocabulary import Plain, Short, Words


class Risk(StrEnum):
    """Why an item is handed over, what is most dangerous if forgotten first."""

    LIVE = "live"
    RUNNING = "running"
    ACROSS = "open across the shift"
    UNUSUAL = "unusual"
    DUE = "due next shift"
    OTHER = "other"

    @property
    def rank(self) -> int:
        return list(Risk).index(self)

    @property
    def label(self) -> str:
        """How it is said to the side that takes over: for them the next shift is this one."""
        return "falls due" if self is Risk.DUE else self.value


class Piece(Plain):
    """One unit within an item about several. `part_way`: some lines of its work list are fitted, others are not."""

    unit: str
    says: Words
    part_way: bool = False


class Item(Plain):
    """One thing that is passed over. `number` runs through the whole shop and is what people call it by.

    `key` is the same for the same matter in another handover; `carries` is the number of an earlier item
    that nobody accepted and that goes on in this one. `pieces` are the units of an item about a station's work.
    """

    number: int = Field(ge=1)
    key: str
    unit: str = ""
    risk: Risk
    says: Words
    remark: str = ""
    carries: int = 0
    pieces: tuple[Piece, ...] = ()

    @property
    def units(self) -> tuple[str, ...]:
        """The tags of all units that it is about; empty for a matter of the shop."""
        return tuple(dict.fromkeys(one for one in (self.unit, *(piece.unit for piece in self.pieces)) if one))


class HandoverPrepared(Plain):
    """The outgoing shift, or one bench of it (`station`), has signed what it passes over.

    `receiver` is the badge of the person who is named for what is live. `met` says that both talk it through;
    otherwise it is written only. `form` is the edition of the headings.
    """

    kind: Literal["handover prepared"] = "handover prepared"
    from_shift: Short
    from_crew: str = ""
    to_shift: Short
    to_crew: str = ""
    station: str = ""
    receiver: str = ""
    met: bool = False
    phone: str = ""
    words: str = ""
    items: tuple[Item, ...] = ()
    form: str = "1"


class ItemAccepted(Plain):
    kind: Literal["item accepted"] = "item accepted"
    item: int
    talked: bool = False
    remark: str = ""


class ItemAsked(Plain):
    kind: Literal["item asked"] = "item asked"
    item: int
    text: Words


class ItemReplied(Plain):
    kind: Literal["item replied"] = "item replied"
    item: int
    text: Words


class ShopNoted(Plain):
    """A note to the shop as a whole. `for_whom` holds badges, crews or stations; empty is everybody."""

    kind: Literal["shop noted"] = "shop noted"
    text: Words
    done: str = ""
    next: str = ""
    watch: str = ""
    for_whom: tuple[str, ...] = ()


class NoteSeen(Plain):
    """Somebody has read a note, on a unit or to the shop."""

    kind: Literal["note seen"] = "note seen"
    note: UUID


class ShopNoteEnded(Plain):
    kind: Literal["shop note ended"] = "shop note ended"
    note: UUID
    why: Words


class ShopAsked(Plain):
    """A question to the shop as a whole: open until it is answered."""

    kind: Literal["shop asked"] = "shop asked"
    text: Words
    to: str = ""


class ShopReplied(Plain):
    kind: Literal["shop replied"] = "shop replied"
    question: UUID
    text: Words


HandoverBody = (
    HandoverPrepared
    | ItemAccepted
    | ItemAsked
    | ItemReplied
    | ShopNoted
    | NoteSeen
    | ShopNoteEnded
    | ShopAsked
    | ShopReplied
)
