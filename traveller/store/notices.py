"""Notes and questions to the shop as a whole, and notes on units that somebody must see."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from traveller.record.acts import notice
from traveller.record.acts.deeds.remarks import SeeingNote
from traveller.record.acts.deeds.shop import AskingShop, NotingToShop, ReplyingToShop, SeeingShopNote
from traveller.record.shop import Shop
from traveller.record.view import UnitView
from traveller.store.keeping import Keeping


class Notices:
    def __init__(self, keeping: Keeping) -> None:
        self._keeping = keeping

    def note(
        self, by: str, text: str, done: str = "", next_step: str = "", watch: str = "", for_whom: Sequence[str] = ()
    ) -> Shop:
        """A note to the shop; `for_whom` names badges, crews or stations, nobody is everybody."""
        note = NotingToShop(text=text, done=done, next=next_step, watch=watch, for_whom=tuple(for_whom))
        return self._keeping.do_for_shop(by, note)

    def seen(self, by: str, note: UUID) -> Shop:
        return self._keeping.do_for_shop(by, SeeingShopNote(note=note))

    def seen_on(self, tag: str, by: str, note: UUID) -> UnitView:
        return self._keeping.do(tag, by, SeeingNote(note=note))

    def end(self, by: str, note: UUID, why: str) -> Shop:
        return self._keeping.shared_by_shop(
            by, lambda _, shop, who: notice.end(shop, who, note, why), "Ending a note for everybody"
        )

    def ask(self, by: str, text: str, to: str = "") -> Shop:
        return self._keeping.do_for_shop(by, AskingShop(text=text, to=to))

    def reply(self, by: str, question: UUID, text: str) -> Shop:
        return self._keeping.do_for_shop(by, ReplyingToShop(question=question, text=text))
