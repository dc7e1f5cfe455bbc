"""One card per unit: where it stands, in one row, for queues and searches.

Cards are made from the entries and can be thrown away and made again; nothing is decided by them.
"""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, Select, and_, case, delete, func, or_, select

from traveller.store.moments import moment, stamp
from traveller.store.tables import card as table
from traveller.store.upserts import upsert

DAYS = ("promised", "look_again")
MOMENTS = ("released_at", "booked_at", "arrived_at", "last_at")


@dataclass(frozen=True)
class Card:
    """`hazards` holds the kinds that stand; `sequence` is the entry up to which the card was made; `matters` is what
    the unit has to tell the next shift, as `brief.matter.as_text` writes it."""

    tag: str
    unit_kind: str
    maker: str
    model: str
    serial: str
    customer: str
    order_ref: str
    fault: str
    station: str
    place: str
    outcome: str
    promised: date | None
    held_reason: str
    look_again: date | None
    hazards: tuple[str, ...]
    released_at: datetime | None
    checks_done: int
    checks_asked: int
    work_done: int
    work_lines: int
    stale: int
    failed: int
    next_check: str
    open_questions: int
    nonconformities: int
    booked_at: datetime | None
    arrived_at: datetime | None
    last_at: datetime | None
    last_by: str
    sequence: int
    matters: str = ""
    matters_edition: int = 0


COLUMNS = [table.c[name] for name in Card.__dataclass_fields__]


def put(connection: Connection, card: Card) -> None:
    """Write the card of a unit over the one before it."""
    row: dict[str, Any] = dict(vars(card))
    for name in DAYS:
        row[name] = row[name].isoformat() if row[name] else None
    for name in MOMENTS:
        row[name] = stamp(row[name]) if row[name] else None
    row["hazards"] = ",".join(card.hazards)
    row["words"] = _folded("\n".join((card.serial, card.customer, card.order_ref, f"{card.maker} {card.model}")))
    upsert(connection, table, ["tag"], row)


def get(connection: Connection, tag: str) -> Card | None:
    row = connection.execute(select(*COLUMNS).where(table.c.tag == tag)).first()
    return _card(row) if row else None


def drop(connection: Connection, tag: str) -> None:
    connection.execute(delete(table).where(table.c.tag == tag))


def at_station(connection: Connection, station: str) -> list[Card]:
    """The queue of a station: what is promised first comes first, held units last, released ones not."""
    return _cards(connection, _queue().where(table.c.station == station))


def in_work(connection: Connection) -> list[Card]:
    """Every unit that has not left, in the order of a queue."""
    return _cards(connection, _queue())


def search(connection: Connection, text: str, limit: int = 50) -> list[Card]:
    """Units whose tag begins with `text`, or whose serial number, customer, order, maker or model hold every
    word of it; case does not matter. Tags first, then units in the house, then the latest touched."""
    sought = _folded(text).strip()
    if not sought:
        return []
    tagged = func.lower(table.c.tag).startswith(sought, autoescape=True)
    worded = and_(*(_words_hold(word) for word in sought.split()))
    order = (
        case((tagged, 0), else_=1),
        case((table.c.released_at.is_(None), 0), else_=1),
        table.c.last_at.desc(),
        table.c.tag,
    )
    return _cards(connection, select(*COLUMNS).where(or_(tagged, worded)).order_by(*order).limit(limit))


def by_serial(connection: Connection, serial: str, maker: str) -> list[Card]:
    """Every visit of the unit with this serial number, the latest first; case does not matter.

    An empty `maker` stands for any.
    """
    number, made_by = _folded(serial).strip(), _folded(maker).strip()
    if not number:
        return []
    found = _cards(connection, select(*COLUMNS).where(_words_hold(number)).order_by(table.c.booked_at.desc()))
    return [
        card
        for card in found
        if _folded(card.serial).strip() == number and made_by in ("", _folded(card.maker).strip())
    ]


def of_another_edition(connection: Connection, edition: int) -> list[str]:
    """Units in work whose matters were worked out by other sources than those of this version."""
    query = select(table.c.tag).where(table.c.released_at.is_(None), table.c.matters_edition != edition)
    return list(connection.execute(query).scalars())


def by_model(connection: Connection, maker: str, model: str, most: int | None = None) -> list[Card]:
    """The units of this maker and model (at most so many), the latest booked first; case and blanks do not matter."""
    sought = [_spaced(maker), _spaced(model)]
    if not all(sought):
        return []
    words = [_words_hold(word) for word in " ".join(sought).split()]
    found = _cards(connection, select(*COLUMNS).where(and_(*words)).order_by(table.c.booked_at.desc(), table.c.tag))
    return [card for card in found if [_spaced(card.maker), _spaced(card.model)] == sought][:most]


def _spaced(text: str) -> str:
    return " ".join(_folded(text).split())


def all_tags(connection: Connection) -> list[str]:
    return list(connection.execute(select(table.c.tag).order_by(table.c.tag)).scalars())


def _queue() -> Select[Any]:
    return (
        select(*COLUMNS)
        .where(table.c.released_at.is_(None))
        .order_by(
            case((table.c.held_reason == "", 0), else_=1),
            case((table.c.promised.is_(None), 1), else_=0),
            table.c.promised,
            table.c.arrived_at,
            table.c.tag,
        )
    )


def _words_hold(word: str) -> ColumnElement[bool]:
    return table.c.words.contains(word, autoescape=True)


def _folded(text: str) -> str:
    """Case and width of characters folded alike for every engine (Unicode NFKC and case folding)."""
    return unicodedata.normalize("NFKC", text).casefold()


def _cards(connection: Connection, query: Select[Any]) -> list[Card]:
    return [_card(row) for row in connection.execute(query)]


def _card(row: Row[*tuple[Any, ...]]) -> Card:
    values = dict(row._mapping)
    for name in DAYS:
        values[name] = date.fromisoformat(values[name]) if values[name] else None
    for name in MOMENTS:
        values[name] = moment(values[name]) if values[name] else None
    values["hazards"] = tuple(filter(None, values["hazards"].split(",")))
    return Card(**values)
