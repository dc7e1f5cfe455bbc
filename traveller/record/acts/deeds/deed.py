"""A deed: one act as data, so that it can be done later, by the same rules as ever, on what then is."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import ClassVar

from traveller.errors import Refused
from traveller.record.acts.rights import Proposed, need_instrument
from traveller.record.entries import Body, Decided, EditionsMoved, Moved, SentBack
from traveller.record.heat_runs.usual import UsualRun
from traveller.record.replacement import Replacement
from traveller.record.shop import Person, Shop
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.thermal import Grid
from traveller.record.unit import Unit
from traveller.record.view import UnitView
from traveller.vocabulary import Plain


@dataclass(frozen=True)
class House:
    """What the station folders say to a whole workshop: the usual heat run, and what is replaced when."""

    policy: Replacement
    usual: UsualRun | None = None

    def need_usual(self) -> UsualRun:
        if self.usual is None:
            raise Refused("No station folder has a run.toml: without it there are no heat runs in this shop.")
        return self.usual


@dataclass(frozen=True)
class Looked(ABC):
    """What a deed may look at; `now` is when it is done, or was done if it was kept."""

    view: UnitView
    person: Person
    shop: Shop
    today: date
    now: datetime
    house: House

    def instruments(self, tags: Sequence[str]) -> list[InstrumentUsed]:
        """The instruments with these tags."""
        return [need_instrument(self.shop, tag) for tag in tags]

    @abstractmethod
    def grid(self, sha256: str) -> Grid:
        """The temperatures of a thermal picture that was handed in with the deed."""


class Deed(Plain):
    """One act on one unit. `ANYWHERE`: it is as true after the unit has moved on as before."""

    ANYWHERE: ClassVar[bool] = False

    @abstractmethod
    def propose(self, scene: Looked) -> Sequence[Proposed]:
        """The entries; Refused or InputError in words."""

    @abstractmethod
    def says(self) -> str:
        """The deed as one line for the person who did it."""

    def touched_by(self, body: Body) -> bool:
        """Whether an entry that somebody else made meanwhile has to be seen first, whatever it is about."""
        return not self.ANYWHERE and isinstance(body, Moved | SentBack | Decided | EditionsMoved)

    def overtaken_by(self, _body: Body) -> str:
        """What in an entry that somebody else made meanwhile takes its proof from this deed; empty for nothing."""
        return ""

    def on_top(self, _unit: Unit) -> Deed:
        """The same deed by a person who has seen what the others did."""
        return self


class ShopDeed(Plain):
    """One act for the shop as a whole. It takes nothing from anybody, so only its own rule can refuse it."""

    @abstractmethod
    def propose(self, shop: Shop, person: Person, now: datetime) -> Sequence[Body]:
        """The entries; Refused in words."""

    @abstractmethod
    def says(self) -> str:
        """The deed as one line for the person who did it."""
