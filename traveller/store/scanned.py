"""What a scanned or typed tag stands for in this shop, and what was meant when it stands for nothing."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from traveller.errors import Away, InputError
from traveller.record.shop import Shop
from traveller.store import cards
from traveller.store.lately import Lately
from traveller.tags import MistypedTag, Tag, TagKind, describe_difference, read_tag


@dataclass(frozen=True)
class Thing:
    """What a scanned or typed tag stands for."""

    kind: TagKind
    tag: str
    name: str


def thing(connection: Connection, shop: Shop, text: str) -> Thing:
    """What the tag stands for; InputError says which character is wrong or what was meant."""
    try:
        tag = read_tag(text)
    except MistypedTag as error:
        raise InputError(meant(connection, shop, error)) from None
    if not _exists(connection, shop, tag.text):
        raise InputError(f"{tag.text} is a sound tag, but no {tag.kind} of this shop has it.")
    card = cards.get(connection, tag.text) if tag.kind is TagKind.UNIT else None
    return Thing(tag.kind, tag.text, card.model if card else shop.called(tag.text))


def known_thing(shop: Shop, lately: Lately, text: str) -> Thing:
    """What the tag stands for, as far as this terminal knows while the database is away; Away when it does not."""
    try:
        tag = read_tag(text)
    except MistypedTag as error:
        raise InputError(str(error)) from None
    view = lately.known(tag.text)
    name = view.unit.nameplate.model if view and view.unit.nameplate else shop.called(tag.text)
    if view is None and name == tag.text:
        raise Away(f"{tag.text} was not looked at here before the database went away: it is known when that is back.")
    return Thing(tag.kind, tag.text, name)


def meant(connection: Connection, shop: Shop, error: MistypedTag) -> str:
    """What is wrong with the tag, and which tags of this shop are one slip of the finger away."""
    known = [one for one in error.candidates if _exists(connection, shop, one)]
    near = "; or ".join(f"{one} ({describe_difference(error.typed, one)})" for one in known[:3])
    return f"{error} In this shop there is {near}." if near else str(error)


def not_a_unit(shop: Shop, tag: Tag) -> str:
    name = shop.called(tag.text)
    whose = name if name != tag.text else f"another kind ({tag.kind})"
    return f"{tag.text} is not the tag of a unit but of {whose}: scan the label on the unit."


def _exists(connection: Connection, shop: Shop, tag: str) -> bool:
    return shop.called(tag) != tag or cards.get(connection, tag) is not None
