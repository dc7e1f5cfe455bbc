"""What this terminal sees: the record as it is or was seen last, with what is kept here laid on top of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from uuid import UUID

from sqlalchemy import Connection

from traveller.errors import Away, InputError, Refused
from traveller.pictures.grid import unpacked
from traveller.record.acts.afterwards import Kept, minded, provisional, provisional_shop
from traveller.record.acts.deeds.deed import Deed, Looked, ShopDeed
from traveller.record.acts.rights import Proposed
from traveller.record.shop import Shop
from traveller.record.shop_entries import SHOP
from traveller.record.thermal import Grid
from traveller.record.view import UnitView
from traveller.store import journal
from traveller.store.desk import Desk, decided
from traveller.store.engine import reading
from traveller.store.keepsafe import Keepsafe, Pile, Question
from traveller.store.picture import picture


@dataclass(frozen=True)
class LookedHere(Looked):
    """What a deed looks at while the database is away; its pictures are in hand or in the folder of this terminal."""

    pictures: Mapping[str, bytes]
    safe: Keepsafe

    def grid(self, sha256: str) -> Grid:
        return unpacked(self.pictures.get(sha256) or self.safe.pictures.need(sha256, "of the thermal camera"))


class KeptHere:
    """Without a folder nothing is kept."""

    def __init__(self, desk: Desk, folder: Path | None) -> None:
        self._desk = desk
        self._safe = Keepsafe(folder) if folder else None
        self._record = ""

    # ---- the unit and the shop --------------------------------------------------------------------------

    def unit(self, typed_tag: str) -> UnitView:
        """The unit as it is on the record, or as it was seen last; what is kept here lies on top."""
        tag = self._desk.unit_tag(typed_tag)

        def look(connection: Connection) -> UnitView:
            self._know_record(connection)
            return self._desk.view(connection, tag)

        return self._with_kept(self._desk.look(tag, look))

    def shop(self) -> Shop:
        """The shop in the same way."""

        def look(connection: Connection) -> Shop:
            self._know_record(connection)
            return self._desk.shop(connection)

        return self.shop_with_kept(self._desk.look(SHOP, look))

    def picture(self, sha256: str) -> bytes | None:
        """The bytes of a picture that is kept here or in the database; None when neither has it."""
        found = self._safe.pictures.find(sha256) if self._safe else None
        if found is not None:
            return found
        with reading(self._desk.engine) as connection:
            row = picture(connection, sha256)
        return row[1] if row else None

    def _know_record(self, connection: Connection) -> str:
        """The shop's record is known by the digest of its first entry, in whatever database it lies."""
        self._record = journal.digest_at(connection, SHOP, 1)
        return self._record

    # ---- what is kept -----------------------------------------------------------------------------------

    def waiting(self) -> list[Kept]:
        """What is kept here and not yet shared, in order."""
        return [one for one in self._pile().waiting.values() if one.record == self._record]

    def questions(self) -> list[Question]:
        """What could not be shared as it was: a person has to decide about each."""
        return [one for one in self._pile().questions.values() if one.kept.record == self._record]

    @property
    def is_away(self) -> Away | None:
        """Why the database is away; None while it answers."""
        return self._desk.lately.away

    @property
    def reached_at(self) -> datetime | None:
        """When the database last answered."""
        return self._desk.lately.reached_at

    @property
    def damaged(self) -> int:
        return self._safe.damaged if self._safe else 0

    def _pile(self) -> Pile:
        return self._safe.pile() if self._safe else Pile()

    def _waits(self, tag: str) -> bool:
        return any(one.tag == tag for one in self.waiting())

    # ---- laid on top ------------------------------------------------------------------------------------

    def _with_kept(self, view: UnitView) -> UnitView:
        for kept in self.waiting():
            if kept.tag == view.unit.tag and not any(one.id == kept.id for one in view.entries):
                try:
                    view = self._laid_on(kept, view)[1]
                except (Refused, InputError):
                    continue
        return view

    def _laid_on(
        self, kept: Kept, view: UnitView, pictures: Mapping[str, bytes] | None = None
    ) -> tuple[Kept, UnitView]:
        """(the deed with what it minds, the unit with the deed done to it)."""
        assert isinstance(kept.deed, Deed)
        assert self._safe
        shop, house = self.shop_seen(), self._desk.house
        person, today = self._desk.need_person(shop, kept.by), self._desk.today(shop, kept.at)
        scene = LookedHere(view, person, shop, today, kept.at, house, pictures or {}, self._safe)
        proposed: Sequence[Proposed] = decided(kept.deed.propose, scene)
        known = kept.model_copy(update={"minds": minded(proposed)})
        return known, provisional(kept, view, proposed)

    def shop_seen(self) -> Shop:
        """The shop as it was on the record when this terminal saw it last."""
        seen: Shop = self._desk.lately.known(SHOP) or Shop()
        return seen

    def shop_with_kept(self, shop: Shop) -> Shop:
        """The shop with what is kept here laid on top."""
        for kept in self.waiting():
            if isinstance(kept.deed, ShopDeed):
                try:
                    shop = self._laid_on_shop(kept, shop)
                except Refused:
                    continue
        return shop

    def _laid_on_shop(self, kept: Kept, shop: Shop) -> Shop:
        assert isinstance(kept.deed, ShopDeed)
        bodies = kept.deed.propose(shop, self._desk.need_person(shop, kept.by), kept.at)
        return provisional_shop(kept, shop, bodies)

    def waiting_ids(self) -> frozenset[UUID]:
        """The first entries of what is kept here and not yet on the record."""
        return frozenset(one.id for one in self.waiting())
