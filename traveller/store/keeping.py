"""Doing things to a unit although the database is away: kept here, shared once when it is back, asked about if not.

The order of what one terminal kept is the order in which it comes onto the record. Nothing is dropped but by a person.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from threading import RLock
from uuid import UUID

from sqlalchemy import Connection
from uuid6 import uuid7

from traveller.errors import Away, InputError, NotReachable, Refused, TravellerError
from traveller.record.acts.afterwards import Kept, meanwhile, need_fresh, provisional
from traveller.record.acts.deeds import AnyDeed, Looked
from traveller.record.acts.rights import Proposed, need_words
from traveller.record.entries import SHOP
from traveller.record.shop import Shop
from traveller.record.view import UnitView
from traveller.store import journal
from traveller.store.desk import Decide, Desk, Mark, Scene, decided
from traveller.store.engine import reading
from traveller.store.keepsafe import DroppedLine, Keepsafe, Pile, Question
from traveller.store.must_be_asked import MustBeAsked
from traveller.store.witness import Witness
from traveller.vocabulary import Role


class Keeping:
    """Without a folder nothing is kept: an act that does not reach the database is refused in words."""

    def __init__(self, desk: Desk, folder: Path | None) -> None:
        self._desk = desk
        self._safe = Keepsafe(folder) if folder else None
        self._witness = Witness(folder) if folder else None
        self.keeps = True
        """A command keeps nothing: whoever called it is told by its status, and calls again."""
        self._record = ""
        self._one_at_a_time = RLock()
        desk.written = self._saw

    def close(self) -> None:
        if self._witness:
            self._witness.close()

    # ---- looking ----------------------------------------------------------------------------------------

    def unit(self, typed_tag: str) -> UnitView:
        """The unit as it is on the record, or as it was seen last; what is kept here lies on top."""
        tag = self._desk.unit_tag(typed_tag)

        def look(connection: Connection) -> UnitView:
            self._know_record(connection)
            return self._desk.view(connection, tag)

        return self._with_kept(self._desk.look(tag, look))

    def shop(self) -> Shop:
        def look(connection: Connection) -> Shop:
            self._know_record(connection)
            return self._desk.shop(connection)

        return self._desk.look(SHOP, look)

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

    def _know_record(self, connection: Connection) -> str:
        """The shop's record is known by the digest of its first entry, in whatever database it lies."""
        self._record = journal.digest_at(connection, SHOP, 1)
        return self._record

    def _with_kept(self, view: UnitView) -> UnitView:
        for kept in self.waiting():
            if kept.tag == view.unit.tag and not any(one.id == kept.id for one in view.entries):
                try:
                    view = provisional(kept, view, self._proposed_here(kept, view))
                except (Refused, InputError):
                    continue
        return view

    def _proposed_here(self, kept: Kept, view: UnitView) -> Sequence[Proposed]:
        shop: Shop = self._desk.lately.known(SHOP) or Shop()
        person = self._desk.need_person(shop, kept.by)
        return decided(kept.deed.propose, Looked(view, person, shop, self._desk.today(shop, kept.at), kept.at))

    # ---- doing ------------------------------------------------------------------------------------------

    def act(self, typed_tag: str, by: str, decide: Decide, deed: Callable[[UnitView], AnyDeed]) -> UnitView:
        """Do it now, or keep it. `deed` makes the form in which it is kept, on the unit as it was seen last."""
        tag = self._desk.unit_tag(typed_tag)
        mark = Mark(uuid7(), self._desk.clock())
        away = self._desk.lately.away if self._desk.lately.resting else None
        if away is None and self._waits(tag):
            self.deliver()
        if away is None and not self._waits(tag):
            try:
                after = self._desk.act(tag, by, decide, mark)
            except Away as error:
                away = error
                self._desk.lately.is_away(error)
            else:
                return after
        return self._keep(tag, by, mark, deed, away or Away("What was kept before it waits still."))

    def do(self, tag: str, by: str, deed: AnyDeed) -> UnitView:
        """A deed that needs nothing of the database but the unit itself."""
        return self.act(tag, by, deed.propose, lambda _view: deed)

    def shared(self, typed_tag: str, by: str, decide: Decide, what: str = "This") -> UnitView:
        """An act that is never kept, because others have to know of it at once; what is kept goes before it."""
        tag = self._desk.unit_tag(typed_tag)
        with self.needing(what):
            if self._waits(tag):
                self.deliver()
            if self._waits(tag):
                raise self._desk.lately.away or Away("What was kept here is not yet shared: wait a moment.")
            return self._desk.act(tag, by, decide)

    @contextmanager
    def needing(self, what: str) -> Iterator[None]:
        """Says what needs the database when it is away."""
        try:
            yield
        except Away as error:
            self._desk.lately.is_away(error)
            raise Away(f"{what} needs the database, and nothing was entered. {error}") from error

    def need_no_question(self, tag: str) -> None:
        """Before the unit leaves: nothing that was done to it here is still undecided."""
        open_ones = [one for one in self.questions() if one.kept.tag == tag.strip().upper()]
        if open_ones:
            raise Refused(
                f"{open_ones[0].kept.deed.says()}: kept here and not on the record, somebody has to decide. "
                "`traveller kept list` shows it, or Ctrl+O."
            )

    def _waits(self, tag: str) -> bool:
        return any(one.tag == tag for one in self.waiting())

    def _keep(self, tag: str, by: str, mark: Mark, deed: Callable[[UnitView], AnyDeed], away: Away) -> UnitView:
        seen: UnitView | None = self._desk.lately.known(tag)
        if self._safe is None or not self.keeps or seen is None or not self._record:
            raise away
        with self._one_at_a_time:
            before = self._with_kept(seen)
            last = seen.entries[-1]
            kept = Kept(
                id=mark.id,
                record=self._record,
                tag=tag,
                deed=deed(before),
                by=by,
                terminal=self._desk.terminal,
                at=mark.at,
                seen=last.sequence,
                seen_at=last.at,
            )
            after = provisional(kept, before, self._proposed_here(kept, before))
            self._safe.keep(kept)
            return after

    def _saw(self, view: UnitView) -> None:
        """Called after every commit: the witness notes how far the traveller has come."""
        if self._witness is None or not (digest := self._desk.digest_of(view)):
            return
        if not self._record:
            with reading(self._desk.engine) as connection:
                self._know_record(connection)
        self._witness.saw(self._record, view.unit.tag, view.unit.sequence, digest)

    # ---- sharing what was kept --------------------------------------------------------------------------

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
        """Whether it came onto the record now or had come there before. A unit of which something can neither be
        written nor refused is stuck: what follows on it waits, so that the order is kept."""
        assert self._safe

        def decide(scene: Scene) -> Sequence[Proposed]:
            found = meanwhile(kept, scene.view)
            if found.entries or found.stale:
                raise MustBeAsked(found, scene.shop)
            return kept.deed.propose(scene)

        try:
            self._do_kept(kept, kept.by, decide)
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

    def _do_kept(self, kept: Kept, by: str, decide: Decide) -> UnitView:
        assert self._safe
        after = self._desk.act(kept.tag, by, decide, Mark(kept.id, kept.time_of(self._desk.clock()), kept=True))
        self._safe.delivered(kept.id)
        return after

    # ---- deciding ---------------------------------------------------------------------------------------

    def question(self, which: UUID) -> Question:
        found = next((one for one in self.questions() if one.kept.id == which), None)
        if found is None:
            raise Refused("Nothing is asked about this any more: look at the list again.")
        return found

    def put_on_top(self, which: UUID, by: str) -> UnitView:
        """The person has seen both and enters theirs all the same. It keeps the name and the time of who did it."""
        asked = self.question(which)
        kept = asked.kept

        def decide(scene: Scene) -> Sequence[Proposed]:
            self._need_own(scene.shop, kept, by)
            need_fresh(meanwhile(kept, scene.view))
            words = f"put on top of what stood there by {scene.shop.called(by)}"
            proposed = kept.deed.on_top(scene.view.unit).propose(scene)
            return [replace(one, because=one.because or words) for one in proposed]

        return self._do_kept(kept, kept.by, decide)

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

    # ---- proving ----------------------------------------------------------------------------------------

    def gone_back(self, accept: bool = False) -> list[str]:
        """Travellers that this terminal knows further on, or with another line, than the database has them; with
        `accept` the database is right from now on."""
        if self._witness is None:
            return []
        with reading(self._desk.engine) as connection:
            record = self._know_record(connection)
            told = self._witness.gone_back(connection, record)
            if accept:
                self._witness.accept(connection, record)
            return told
