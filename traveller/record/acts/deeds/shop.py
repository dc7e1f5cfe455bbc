"""What is said to the shop as a whole, and asked about what was handed over, as deeds."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Literal
from uuid import UUID

from traveller.record.acts import handover, notice
from traveller.record.acts.deeds.deed import ShopDeed
from traveller.record.acts.deeds.remarks import NoteParts
from traveller.record.entries import Body
from traveller.record.shop import Person, Shop


class NotingToShop(NoteParts, ShopDeed):
    deed: Literal["note to the shop"] = "note to the shop"

    def propose(self, _shop: Shop, person: Person, _now: datetime) -> Sequence[Body]:
        return notice.note(person, self.text, self.done, self.next, self.watch, self.for_whom)


class SeeingShopNote(ShopDeed):
    deed: Literal["see note to the shop"] = "see note to the shop"
    note: UUID

    def propose(self, shop: Shop, person: Person, _now: datetime) -> Sequence[Body]:
        return notice.seen(shop, person, self.note)

    def says(self) -> str:
        return "note seen"


class AskingShop(ShopDeed):
    deed: Literal["question to the shop"] = "question to the shop"
    text: str
    to: str = ""

    def propose(self, _shop: Shop, person: Person, _now: datetime) -> Sequence[Body]:
        return notice.ask(person, self.text, self.to)

    def says(self) -> str:
        return f"question: {self.text}"


class ReplyingToShop(ShopDeed):
    deed: Literal["reply to the shop"] = "reply to the shop"
    question: UUID
    text: str

    def propose(self, shop: Shop, person: Person, _now: datetime) -> Sequence[Body]:
        return notice.reply(shop, person, self.question, self.text)

    def says(self) -> str:
        return f"reply: {self.text}"


class AskingAboutItem(ShopDeed):
    deed: Literal["ask about item"] = "ask about item"
    number: int
    text: str

    def propose(self, shop: Shop, person: Person, now: datetime) -> Sequence[Body]:
        return handover.ask(shop, person, self.number, self.text, now)

    def says(self) -> str:
        return f"item {self.number}, question: {self.text}"


class ReplyingAboutItem(ShopDeed):
    deed: Literal["reply about item"] = "reply about item"
    number: int
    text: str

    def propose(self, shop: Shop, person: Person, now: datetime) -> Sequence[Body]:
        return handover.reply(shop, person, self.number, self.text, now)

    def says(self) -> str:
        return f"item {self.number}, reply: {self.text}"
