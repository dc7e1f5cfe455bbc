"""Where a reading becomes an entry: load, fold, let the act decide, append, fold again.

One way in for everything. A writer who loses the race for the next place in a traveller loads again and lets
the act decide anew, so no rule is ever decided on an old view.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TypeVar
from uuid import UUID

from sqlalchemy import Connection, Engine
from uuid6 import uuid7

from traveller.errors import InputError, NotReachable, Overtaken, Refused
from traveller.record.acts.afterwards import drafted
from traveller.record.acts.deeds.deed import House, Looked
from traveller.record.acts.rights import Proposed
from traveller.record.brief.matter import EDITION
from traveller.record.entries import Body, Entry
from traveller.record.shifts import zone_of
from traveller.record.shop import Person, Shop, fold_shop
from traveller.record.shop_entries import SHOP
from traveller.record.thermal import Grid
from traveller.record.view import UnitView, view
from traveller.stationbook import StationBook
from traveller.store import cards, journal, scanned
from traveller.store.driver_errors import Lost
from traveller.store.editions import Editions
from traveller.store.engine import reading, writing
from traveller.store.lately import Lately
from traveller.store.picture import need_grid
from traveller.store.projection import card_of
from traveller.tags import MistypedTag, TagKind, read_tag

TRIES = 50
"""So often an act is decided anew because somebody else was first; more terminals than that no shop has at work."""
KEPT_VIEWS = 32
"""So many units are not folded again at the next look: what a bench and its brief go through in a shift."""


@dataclass(frozen=True)
class Scene(Looked):
    """What an act may look at when it decides, with the transaction that it is part of."""

    connection: Connection

    def grid(self, sha256: str) -> Grid:
        return need_grid(self.connection, sha256)


Decide = Callable[[Scene], Sequence[Proposed]]
Seen = TypeVar("Seen", bound=Looked)
Read = TypeVar("Read")
Done = TypeVar("Done")


@dataclass(frozen=True)
class Mark:
    """By what an act is known before it is on the record. Repeated with the same mark, it is done once.

    `kept` says that it waited at the terminal; `at` is then earlier than the time at which it is shared.
    """

    id: UUID
    at: datetime
    kept: bool = False


def local(shop: Shop, at: datetime) -> datetime:
    """The time in the shop's zone."""
    return at.astimezone(zone_of(shop.zone))


def decided(decide: Callable[[Seen], Sequence[Proposed]], scene: Seen) -> Sequence[Proposed]:
    """What the act proposes; a refusal that names a badge names the person instead."""
    try:
        return decide(scene)
    except Overtaken as error:
        raise _by_name(error, scene.shop) from None


def _by_name(error: Overtaken, shop: Shop) -> Overtaken:
    words = [re.sub(r"\bP\w{7}\b", lambda found: shop.called(found[0]), reason) for reason in error.reasons]
    return Overtaken(*words)


class Desk:
    def __init__(self, engine: Engine, stations: StationBook, terminal: str, clock: Callable[[], datetime]) -> None:
        self.engine = engine
        self.stations = stations
        self.terminal = terminal
        self.clock = clock
        self.editions = Editions(engine, stations)
        self.house = House(stations.replacement, stations.usual_run)
        self._shop: tuple[str, Shop] | None = None
        self._views: dict[str, tuple[str, UnitView]] = {}
        self.lately = Lately(clock)
        self.written: Callable[[UnitView], None] = lambda _view: None

    def refresh_cards(self) -> None:
        """Cards of units in work that an older program wrote are made anew, so that the brief misses nothing."""
        with reading(self.engine) as connection:
            old = cards.of_another_edition(connection, EDITION)
        if old:
            with writing(self.engine) as connection:
                for tag in cards.of_another_edition(connection, EDITION):
                    cards.put(connection, card_of(self.view(connection, tag)))

    def look(self, name: str, ask: Callable[[Connection], Read]) -> Read:
        """What the database says, or said last under this name while it is away."""

        def job() -> Read:
            with reading(self.engine) as connection:
                return ask(connection)

        return self.lately.ask(name, job)

    def view(self, connection: Connection, tag: str) -> UnitView:
        """The unit as its entries say; folded anew only when the digest of its last entry is another one."""
        digest = self.need_traveller(connection, tag)
        if (known := self._views.get(tag)) and known[0] == digest:
            return known[1]
        return self._keep(tag, digest, self._weighed(connection, tag, journal.read(connection, tag)))

    @staticmethod
    def need_traveller(connection: Connection, tag: str) -> str:
        """The digest of the unit's last entry; Refused when no unit has the tag."""
        sequence, digest = journal.head(connection, tag)
        if not sequence:
            raise Refused(f"No unit has the tag {tag}: look at the label again, or book the unit in.")
        return digest

    def _keep(self, tag: str, digest: str, folded: UnitView) -> UnitView:
        """The digest stands for every entry before it, so a view that was rolled back is never found again."""
        self._views.pop(tag, None)
        self._views[tag] = (digest, folded)
        for oldest in list(self._views)[:-KEPT_VIEWS]:
            self._views.pop(oldest, None)
        return folded

    def digest_of(self, view: UnitView) -> str:
        """The digest of the last entry of a view that came from here; empty when a later one took its place."""
        digest, kept = self._views.get(view.unit.tag, ("", None))
        return digest if kept is view else ""

    def _weighed(self, connection: Connection, tag: str, entries: Sequence[Entry]) -> UnitView:
        first = view(tag, entries, self.stations.book, self.stations.judges)
        book = self.editions.book_for(connection, first.unit.editions)
        return UnitView(first.unit, book, self.stations.judges, tuple(entries))

    def shop(self, connection: Connection) -> Shop:
        """The shop; only what came after the last look is folded, if that look is still on the record."""
        _, digest = journal.head(connection, SHOP)
        known = self._shop  # looked at once: another thread may put a shop there that is not yet on the record
        if known and known[0] == digest:
            return known[1]
        before = known[1] if known and self._still_true(connection, *known) else None
        shop = fold_shop(journal.read(connection, SHOP, after=before.sequence if before else 0), before)
        self._shop = (digest, shop)
        return shop

    @staticmethod
    def _still_true(connection: Connection, digest: str, shop: Shop) -> bool:
        """Not so when what was folded was rolled back, or the database was restored from a backup."""
        return journal.digest_at(connection, SHOP, shop.sequence) == digest

    def today(self, shop: Shop, at: datetime | None = None) -> date:
        """The day in the shop's zone: the present one, or that of `at`."""
        return local(shop, at or self.clock()).date()

    def need_person(self, shop: Shop, by: str) -> Person:
        person = shop.people.get(by)
        if person is None or person.left:
            raise Refused(f"{by or 'Nobody'} works nowhere in this shop: scan a badge, or name one with --as.")
        return person

    def unit_tag(self, text: str) -> str:
        """The tag of a unit as it was scanned or typed; InputError says what was meant or which character is wrong."""
        try:
            tag = read_tag(text)
        except MistypedTag as error:
            with reading(self.engine) as connection:
                raise InputError(scanned.meant(connection, self.shop(connection), error)) from None
        if tag.kind is not TagKind.UNIT:
            with reading(self.engine) as connection:
                raise InputError(scanned.not_a_unit(self.shop(connection), tag))
        return tag.text

    def act(self, typed_tag: str, by: str, decide: Decide, mark: Mark | None = None) -> UnitView:
        """Let `decide` propose entries for a unit and append them in one transaction."""
        tag = self.unit_tag(typed_tag)
        mark = mark or Mark(uuid7(), self.clock())
        after = self._once(mark, lambda connection, seek: self._act_once(connection, tag, by, decide, mark, seek))
        self.committed(after)
        return after

    def _once(self, mark: Mark, job: Callable[[Connection, bool], Done]) -> Done:
        """`job` in one transaction; it is told whether it may be done already.

        When the connection breaks, whether the commit came through is looked up by the mark over a new one: there
        the advisory lock of an old transaction that still runs is waited for, so the look finds the last word.
        """
        perhaps_done = mark.kept
        for _ in range(TRIES):
            try:
                with writing(self.engine) as connection:
                    return job(connection, perhaps_done)
            except journal.SequenceTaken:
                continue
            except Lost:
                if perhaps_done:
                    raise
                perhaps_done = True
        raise NotReachable("Too many terminals write at once: wait a moment, then try again.")

    def committed(self, view: UnitView) -> None:
        """Called when a transaction has ended well, never inside it."""
        self.lately.saw(view.unit.tag, view)
        self.written(view)

    def _act_once(
        self, connection: Connection, tag: str, by: str, decide: Decide, mark: Mark, perhaps_done: bool
    ) -> UnitView:
        before = self.view(connection, tag)
        if perhaps_done and journal.holds(connection, mark.id):
            return before
        shop = self.shop(connection)
        today = self.today(shop, mark.at if mark.kept else None)
        scene = Scene(before, self.need_person(shop, by), shop, today, mark.at, self.house, connection)
        return self._append(connection, before, by, decided(decide, scene), mark)

    def open_traveller(self, connection: Connection, tag: str, by: str, proposed: Sequence[Proposed]) -> UnitView:
        """The first entries of a new traveller."""
        nothing = view(tag, (), self.stations.book, self.stations.judges)
        return self._append(connection, nothing, by, proposed, Mark(uuid7(), self.clock()))

    def _append(
        self, connection: Connection, before: UnitView, by: str, proposed: Sequence[Proposed], mark: Mark
    ) -> UnitView:
        tag = before.unit.tag
        kept = self._put(connection, tag, before.unit.sequence, by, proposed, mark)
        after = self._weighed(connection, tag, [*before.entries, *kept.entries])
        cards.put(connection, card_of(after))
        return self._keep(tag, kept.digest, after)

    def _put(
        self, connection: Connection, subject: str, after: int, by: str, proposed: Sequence[Proposed], mark: Mark
    ) -> journal.Appended:
        drafts = drafted(mark.id, proposed)
        shared = self.clock() if mark.kept else None
        return journal.append(
            connection, subject, after, drafts, by=by, terminal=self.terminal, at=mark.at, shared=shared
        )

    def act_for_shop(
        self, by: str, decide: Callable[[Connection, Shop, Person], Sequence[Body]], mark: Mark | None = None
    ) -> Shop:
        """Let `decide` propose entries for the shop and append them in one transaction."""
        mark = mark or Mark(uuid7(), self.clock())
        after = self._once(mark, lambda connection, seek: self._once_for_shop(connection, by, decide, mark, seek))
        return self.lately.saw(SHOP, after)

    def _once_for_shop(
        self,
        connection: Connection,
        by: str,
        decide: Callable[[Connection, Shop, Person], Sequence[Body]],
        mark: Mark,
        perhaps_done: bool,
    ) -> Shop:
        shop = self.shop(connection)
        if perhaps_done and journal.holds(connection, mark.id):
            return shop
        try:
            bodies = decide(connection, shop, self.need_person(shop, by))
        except Overtaken as error:
            raise _by_name(error, shop) from None
        return self.enter_for_shop(connection, by, *bodies, mark=mark) if bodies else shop

    def enter_for_shop(self, connection: Connection, by: str, *bodies: Body, mark: Mark | None = None) -> Shop:
        sequence, _ = journal.head(connection, SHOP)
        mark = mark or Mark(uuid7(), self.clock())
        self._put(connection, SHOP, sequence, by, [Proposed(body) for body in bodies], mark)
        return self.shop(connection)
