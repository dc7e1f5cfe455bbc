"""Doing things although the database is away: kept here, shared once when it is back, asked about if not.

The order of what one terminal kept is the order in which it comes onto the record. Nothing is dropped but by a person.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Connection
from uuid6 import uuid7

from traveller.errors import Away, Refused
from traveller.record.acts.afterwards import Kept
from traveller.record.acts.deeds import ForShop, OnUnit
from traveller.record.acts.rights import Proposed
from traveller.record.entries import Body
from traveller.record.shop import Person, Shop
from traveller.record.shop_entries import SHOP
from traveller.record.view import UnitView
from traveller.store.desk import Decide, Desk, Mark, Scene
from traveller.store.engine import reading
from traveller.store.picture import PictureFile, keep_picture
from traveller.store.sharing import Sharing
from traveller.store.witness import Witness

After = TypeVar("After")


class Keeping(Sharing):
    """Without a folder an act that does not reach the database is refused in words."""

    def __init__(self, desk: Desk, folder: Path | None) -> None:
        super().__init__(desk, folder)
        self._witness = Witness(folder) if folder else None
        self.keeps = True
        """A command keeps nothing: whoever called it is told by its status, and calls again."""
        desk.written = self._saw

    def close(self) -> None:
        if self._witness:
            self._witness.close()

    # ---- doing ------------------------------------------------------------------------------------------

    def act(
        self,
        typed_tag: str,
        by: str,
        decide: Decide,
        deed: Callable[[UnitView], OnUnit],
        pictures: Sequence[PictureFile] = (),
    ) -> UnitView:
        """Do it now, or keep it. `deed` makes the form in which it is kept, on the unit as it was seen last."""
        tag = self._desk.unit_tag(typed_tag)
        mark = Mark(uuid7(), self._desk.clock())

        def with_pictures(scene: Scene) -> Sequence[Proposed]:
            for one in pictures:
                keep_picture(scene.connection, one.enclosed, one.data)
            return decide(scene)

        def keep(away: Away) -> UnitView:
            return self._keep(tag, by, mark, deed, pictures, away)

        return self._now_or(tag, lambda: self._desk.act(tag, by, with_pictures, mark), keep)

    def do(self, tag: str, by: str, deed: OnUnit, pictures: Sequence[PictureFile] = ()) -> UnitView:
        """A deed that needs nothing of the database but the unit itself, and brings its pictures along."""
        return self.act(tag, by, deed.propose, lambda _view: deed, pictures)

    def do_for_shop(self, by: str, deed: ForShop) -> Shop:
        """A deed for the shop as a whole, now or kept."""
        mark = Mark(uuid7(), self._desk.clock())
        return self._now_or(
            SHOP, lambda: self._enter_for_shop(by, deed, mark), lambda away: self._keep_for_shop(by, mark, deed, away)
        )

    def _now_or(self, subject: str, now: Callable[[], After], keep: Callable[[Away], After]) -> After:
        """What waits for the same subject goes first; while it cannot, this waits behind it."""
        away = self._desk.lately.away if self._desk.lately.resting else None
        if away is None and self._waits(subject):
            self.deliver()
        if away is None and not self._waits(subject):
            try:
                return now()
            except Away as error:
                away = error
                self._desk.lately.is_away(error)
        return keep(away or Away("What was kept before it waits still."))

    def shared(self, typed_tag: str, by: str, decide: Decide, what: str = "This") -> UnitView:
        """An act that is never kept, because others have to know of it at once; what is kept goes before it."""
        tag = self._desk.unit_tag(typed_tag)
        with self._needing_all_of(tag, what):
            return self._desk.act(tag, by, decide)

    def shared_by_shop(
        self, by: str, decide: Callable[[Connection, Shop, Person], Sequence[Body]], what: str = "This"
    ) -> Shop:
        """The same for the shop as a whole."""
        with self._needing_all_of(SHOP, what):
            return self._desk.act_for_shop(by, decide)

    @contextmanager
    def _needing_all_of(self, subject: str, what: str) -> Iterator[None]:
        with self.needing(what):
            if self._waits(subject):
                self.deliver()
            if self._waits(subject):
                raise self._desk.lately.away or Away("What was kept here is not yet shared: wait a moment.")
            yield

    def need_no_question(self, typed_tag: str) -> None:
        """Before the unit leaves: nothing that was done to it here is still undecided."""
        tag = self._desk.unit_tag(typed_tag)
        open_ones = [one for one in self.questions() if one.kept.tag == tag]
        if open_ones:
            raise Refused(
                f"{open_ones[0].kept.deed.says()}: kept here and not on the record, somebody has to decide. "
                "`traveller kept list` shows it, or Ctrl+O."
            )

    # ---- keeping ----------------------------------------------------------------------------------------

    def _keep(
        self,
        tag: str,
        by: str,
        mark: Mark,
        deed: Callable[[UnitView], OnUnit],
        pictures: Sequence[PictureFile],
        away: Away,
    ) -> UnitView:
        seen: UnitView | None = self._desk.lately.known(tag)
        if self._safe is None or not self.keeps or seen is None or not self._record:
            raise away
        with self._one_at_a_time:
            before, last = self._with_kept(seen), seen.entries[-1]
            kept = self._kept(tag, by, mark, deed(before)).model_copy(
                update={
                    "seen": last.sequence,
                    "seen_at": last.at,
                    "enclosed": tuple(one.enclosed for one in pictures),
                }
            )
            by_digest = {one.enclosed.sha256: one.data for one in pictures}
            kept, after = self._laid_on(kept, before, by_digest)
            self._safe.keep(kept, by_digest)
            return after

    def _keep_for_shop(self, by: str, mark: Mark, deed: ForShop, away: Away) -> Shop:
        seen: Shop | None = self._desk.lately.known(SHOP)
        if self._safe is None or not self.keeps or seen is None or not self._record:
            raise away
        with self._one_at_a_time:
            kept = self._kept(SHOP, by, mark, deed).model_copy(update={"seen": seen.sequence, "seen_at": seen.last_at})
            after = self._laid_on_shop(kept, self.shop_with_kept(seen))
            self._safe.keep(kept, {})
            return after

    def _kept(self, tag: str, by: str, mark: Mark, deed: OnUnit | ForShop) -> Kept:
        return Kept(
            id=mark.id,
            record=self._record,
            tag=tag,
            deed=deed,
            by=by,
            terminal=self._desk.terminal,
            at=mark.at,
            seen=0,
        )

    def _saw(self, view: UnitView) -> None:
        """Called after every commit: the witness notes how far the traveller has come."""
        if self._witness is None or not (digest := self._desk.digest_of(view)):
            return
        if not self._record:
            with reading(self._desk.engine) as connection:
                self._know_record(connection)
        self._witness.saw(self._record, view.unit.tag, view.unit.sequence, digest)

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
