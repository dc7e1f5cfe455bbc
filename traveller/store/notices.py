"""Notes and questions to the shop as a whole, and notes on units that somebody must see."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from traveller.record.acts import notice, remark
from traveller.record.shop import Shop
from traveller.record.view import UnitView
from traveller.store.desk import Desk


class Notices:
    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def note(
        self, by: str, text: str, done: str = "", next_step: str = "", watch: str = "", for_whom: Sequence[str] = ()
    ) -> Shop:
        """A note to the shop; `for_whom` names badges, crews or stations, nobody is everybody."""
        return self._desk.act_for_shop(by, lambda _, __, who: notice.note(who, text, done, next_step, watch, for_whom))

    def seen(self, by: str, note: UUID) -> Shop:
        return self._desk.act_for_shop(by, lambda _, shop, who: notice.seen(shop, who, note))

    def seen_on(self, tag: str, by: str, note: UUID) -> UnitView:
        return self._desk.act(tag, by, lambda s: remark.see_note(s.view, s.person, note))

    def end(self, by: str, note: UUID, why: str) -> Shop:
        return self._desk.act_for_shop(by, lambda _, shop, who: notice.end(shop, who, note, why))

    def ask(self, by: str, text: str, to: str = "") -> Shop:
        return self._desk.act_for_shop(by, lambda _, __, who: notice.ask(who, text, to))

    def reply(self, by: str, question: UUID, text: str) -> Shop:
        return self._desk.act_for_shop(by, lambda _, shop, who: notice.reply(shop, who, question, text))
