"""Notes and questions to the shop as a whole."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from traveller.errors import Refused
from traveller.record.acts.rights import need_role, need_words
from traveller.record.entries import Body
from traveller.record.handover_entries import NoteSeen, ShopAsked, ShopNoted, ShopNoteEnded, ShopReplied
from traveller.record.shop import Person, Shop
from traveller.vocabulary import Role


def note(
    person: Person, text: str, done: str = "", next_step: str = "", watch: str = "", for_whom: Sequence[str] = ()
) -> list[Body]:
    """One part is enough: without `text` the first that is filled is the note."""
    need_role(person, "write a note to the shop", *Role)
    done, next_step, watch = done.strip(), next_step.strip(), watch.strip()
    body = ShopNoted(
        text=need_words(text.strip() or done or next_step or watch, "what is to be noted"),
        done=done,
        next=next_step,
        watch=watch,
        for_whom=tuple(for_whom),
    )
    return [body]


def seen(shop: Shop, person: Person, which: UUID) -> list[Body]:
    """Empty when this person has seen it before."""
    _need_note(shop, which)
    return [] if person.tag in shop.notices.notes[which].seen else [NoteSeen(note=which)]


def end(shop: Shop, person: Person, which: UUID, why: str) -> list[Body]:
    """A note is ended by who wrote it or by a lead."""
    _need_note(shop, which)
    if shop.notices.notes[which].by != person.tag:
        need_role(person, "end a note that somebody else wrote", Role.LEAD)
    return [ShopNoteEnded(note=which, why=need_words(why, "why the note is no longer needed"))]


def _need_note(shop: Shop, which: UUID) -> None:
    if which not in shop.notices.notes:
        raise Refused("There is no such note to the shop: it was ended, or never written.")


def ask(person: Person, text: str, to: str = "") -> list[Body]:
    need_role(person, "ask a question", *Role)
    return [ShopAsked(text=need_words(text, "what the question is"), to=to.strip())]


def reply(shop: Shop, person: Person, which: UUID, text: str) -> list[Body]:
    need_role(person, "reply to a question", *Role)
    if which not in shop.notices.questions:
        raise Refused("There is no such open question to the shop: somebody has answered it, or it was never asked.")
    return [ShopReplied(question=which, text=need_words(text, "the reply"))]
