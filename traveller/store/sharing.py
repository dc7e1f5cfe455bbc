"""Bringing what was kept here onto the record: once, in order; what no longer fits comes back as a question."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from threading import RLock
from uuid import UUID

from sqlalchemy import Connection

from traveller.errors import Away, NotReachable, Refused, TravellerError
from traveller.record.acts.afterwards import Kept, meanwhile, need_fresh
from traveller.record.acts.deeds import ForShop
from traveller.record.acts.deeds.deed import Deed, ShopDeed
from traveller.record.acts.rights import Proposed, need_words
from traveller.record.entries import Body
from traveller.record.shop import Person, Shop
from traveller.record.shop_entries import SHOP
from traveller.store.desk import Desk, Mark, Scene
from traveller.store.engine import reading
from traveller.store.keepsafe import DroppedLine, Question
from traveller.store.kept_here import KeptHere
from traveller.store.must_be_asked import MustBeAsked
from traveller.store.picture import keep_picture
from traveller.vocabulary import Role


class Sharing(KeptHere):
    def __init__(self, desk: Desk, folder: Path | None) -> None:
        super().__init__(desk, folder)
        self._one_at_a_time = RLock()

    def deliver(self) -> int:
        """Bring onto the record what waits, in order, and say how many came there. What is refused becomes a
        question. Stops without an error when the database is (still) away."""
        done, stuck = 0, set[str]()
        with self._one_at_a_time:
            try:
                self._reach()
                for kept in self.waiting():
                    if kept.tag not in stuck:
                        done += self._delivered(kept, stuck)
            except Away as error:
                self._desk.lately.is_away(error)
        return done

    def _reach(self) -> None:
        with reading(self._desk.engine) as connection:
            self._know_record(connection)
            self._desk.lately.saw(SHOP, self._desk.shop(connection))

    def _delivered(self, kept: Kept, stuck: set[str]) -> bool:
        """Whether it came onto the record now or had come there before. A subject of which something can neither be
        written nor refused is stuck: what follows on it waits, so that the order is kept."""
        assert self._safe
        try:
            self._share(kept)
        except Away:
            raise
        except NotReachable:
            stuck.add(kept.tag)
        except MustBeAsked as asked:
            self._safe.ask(kept.id, asked.reasons, bool(asked.found.stale))
        except TravellerError as error:
            self._safe.ask(kept.id, str(error).splitlines(), stale=False)
        else:
            return True
        return False

    def _share(self, kept: Kept, on_top_by: str = "") -> str:
        """Onto the record; with `on_top_by` a person has seen what stands there. Returns the subject in words."""
        assert self._safe
        mark = Mark(kept.id, kept.time_of(self._desk.clock()), kept=True)
        match kept.deed:
            case ShopDeed() as deed:
                self._enter_for_shop(kept.by, deed, mark)
            case Deed() as deed:
                self._desk.act(kept.tag, kept.by, lambda scene: self._proposed(kept, deed, scene, on_top_by), mark)
        self._safe.delivered(kept.id)
        return "the shop" if kept.tag == SHOP else kept.tag

    def _enter_for_shop(self, by: str, deed: ForShop, mark: Mark) -> Shop:
        def decide(_connection: Connection, shop: Shop, person: Person) -> Sequence[Body]:
            return deed.propose(shop, person, mark.at)

        return self._desk.act_for_shop(by, decide, mark)

    def _proposed(self, kept: Kept, deed: Deed, scene: Scene, on_top_by: str) -> Sequence[Proposed]:
        assert self._safe
        deed = deed.on_top(scene.view.unit) if on_top_by else deed
        found = meanwhile(kept, deed, scene)
        if not on_top_by and (found.entries or found.stale):
            raise MustBeAsked(found, scene.shop, scene.view.book.asked)
        need_fresh(found)
        for one in kept.enclosed:
            keep_picture(scene.connection, one, self._safe.pictures.need(one.sha256, one.name))
        words = f"put on top of what stood there by {scene.shop.called(on_top_by)}" if on_top_by else ""
        return [replace(one, because=one.because or words) for one in deed.propose(scene)]

    @contextmanager
    def needing(self, what: str) -> Iterator[None]:
        """Says what needs the database when it is away."""
        try:
            yield
        except Away as error:
            self._desk.lately.is_away(error)
            raise Away(f"{what} needs the database, and nothing was entered. {error}") from error

    # ---- deciding ---------------------------------------------------------------------------------------

    def question(self, which: UUID) -> Question:
        found = next((one for one in self.questions() if one.kept.id == which), None)
        if found is None:
            raise Refused("Nothing is asked about this any more: look at the list again.")
        return found

    def put_on_top(self, which: UUID, by: str) -> str:
        """The person has seen both and enters theirs all the same. It keeps the name and the time of who did it.
        Returns what it was entered for: the tag of the unit, or the shop."""
        kept = self.question(which).kept
        with self.needing("To put it on top"):
            self._reach()
            self._need_own(self.shop_seen(), kept, by)
            return self._share(kept, on_top_by=by)

    def drop(self, which: UUID, by: str, because: str) -> None:
        """Take it out, with a reason; it stays in the file of what was dropped."""
        asked = self.question(which)
        assert self._safe
        self._need_own(self.shop(), asked.kept, by)
        words = need_words(because, "why it is dropped")
        self._safe.drop(asked, DroppedLine(id=which, by=by, because=words, at=self._desk.clock()))

    def _need_own(self, shop: Shop, kept: Kept, by: str) -> None:
        person = self._desk.need_person(shop, by)
        if by != kept.by and not person.may(Role.LEAD):
            raise Refused(f"{shop.called(kept.by)} did this: the same person or a shift lead decides about it.")
