"""Parts lists: from a file, by hand, from an earlier unit of the model; and the work list that follows from them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from traveller.errors import Away, InputError
from traveller.parts_csv import LARGEST_BYTES, ReadParts, read_parts, unknown_kind
from traveller.record.acts import parts as acts
from traveller.record.acts.deeds.working import AddingParts, ListingParts, WorkingOut
from traveller.record.acts.rights import Proposed
from traveller.record.parts import PartsOnUnit
from traveller.record.parts_entries import PartAdded, PartHeadersLearned, PartsListed
from traveller.record.replacement import WorkedOut
from traveller.record.shop import Shop
from traveller.record.view import UnitView
from traveller.store import cards, journal
from traveller.store.desk import Desk, Scene
from traveller.store.engine import reading
from traveller.store.keeping import Keeping
from traveller.typed_file import typed_file

LISTING = [body.model_fields["kind"].default for body in (PartsListed, PartAdded)]
NO_MAP: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True)
class KnownList:
    """The latest parts list of another unit of the same model."""

    tag: str
    parts: PartsOnUnit


class Parts:
    def __init__(self, desk: Desk, keeping: Keeping) -> None:
        self._desk = desk
        self._keeping = keeping

    def read_file(self, path: str, columns: Mapping[str, str] = NO_MAP) -> ReadParts:
        """What the file holds, without entering it. `columns` says by its header which column is which."""
        return self._read(_file(path)[1], self._keeping.shop(), columns)

    def import_list(self, tag: str, path: str, by: str, columns: Mapping[str, str] = NO_MAP) -> UnitView:
        """The parts list from a file; HeadersUnknown when a person has to say which column is which.

        What was said is remembered for files with these headers, together with the list or not at all; while the
        database is away it is not remembered.
        """
        name, data = _file(path)
        origin = f"file {name}"

        def decide(scene: Scene) -> Sequence[Proposed]:
            found = self._read(data, scene.shop, columns)
            proposed = acts.list_parts(scene.view, scene.person, found.parts, origin)
            if columns and scene.shop.part_headers.get(frozenset(found.headers)) != dict(found.columns):
                learned = PartHeadersLearned(headers=found.headers, columns=dict(found.columns))
                self._desk.enter_for_shop(scene.connection, by, learned)
            return proposed

        def keep(_view: UnitView) -> ListingParts:
            found = self._read(data, self._keeping.shop(), columns)
            return ListingParts(parts=found.parts, origin=origin)

        return self._keeping.act(tag, by, decide, keep)

    def _read(self, data: bytes, shop: Shop, columns: Mapping[str, str]) -> ReadParts:
        return read_parts(data, self._desk.stations.part_names, shop.part_headers, columns)

    def add(self, tag: str, references: str, kind: str, by: str, **typed: str) -> UnitView:
        """Parts by hand; `typed` are value, rating, footprint, matched_set, board and drives."""
        names = self._desk.stations.part_names
        meant = names.kind_of(kind)
        if meant is None:
            raise InputError(f"{unknown_kind(kind.strip(), names)}.")
        part = acts.part_by_hand(meant, **typed)
        return self._keeping.do(tag, by, AddingParts(references=references, part=part))

    def known_for(self, maker: str, model: str, besides: str = "") -> KnownList | None:
        """The latest parts list of a unit of this maker and model, other than the unit `besides`; while the database
        is away, none."""
        try:
            with reading(self._desk.engine) as connection:
                tags = [card.tag for card in cards.by_model(connection, maker, model) if card.tag != besides]
                found = journal.last_with(connection, tags, LISTING)
                return KnownList(found, self._desk.view(connection, found).unit.parts) if found else None
        except Away:
            return None

    def take_from(self, tag: str, earlier: str, by: str) -> UnitView:
        """The parts list of an earlier unit of the same maker and model."""
        other = self._desk.unit_tag(earlier)

        def keep(view: UnitView) -> ListingParts:
            return ListingParts(parts=acts.parts_of(view, self._keeping.unit(other)), origin=acts.origin(other))

        def decide(scene: Scene) -> Sequence[Proposed]:
            return acts.take_from(scene.view, scene.person, self._desk.view(scene.connection, other))

        return self._keeping.act(tag, by, decide, keep)

    def worked_out(self, tag: str, failed: Sequence[str] = ()) -> list[WorkedOut]:
        """What working the list out would plan, with the reason of each line."""
        return acts.would_plan(self._keeping.unit(tag), self._desk.house.policy, failed)

    def work_out(self, tag: str, by: str, failed: Sequence[str] = ()) -> UnitView:
        """Plan what failed, the rest of its matched sets, what ages, and the driver checks, in one go."""
        return self._keeping.do(tag, by, WorkingOut(failed=tuple(failed)))


def _file(path: str) -> tuple[str, bytes]:
    return typed_file(path, LARGEST_BYTES, "a parts list")
