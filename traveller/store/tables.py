"""The tables, as this version of the program uses them. The migrations build them."""

from __future__ import annotations

from sqlalchemy import (
    BigInteger,
    Column,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    Text,
    UniqueConstraint,
)
from sqlalchemy.sql.schema import SchemaItem

metadata = MetaData()

BigNumber = BigInteger().with_variant(Integer(), "sqlite")


def _texts(*names: str) -> list[SchemaItem]:
    return [Column(name, Text, nullable=False) for name in names]


def _numbers(*names: str) -> list[SchemaItem]:
    return [Column(name, Integer, nullable=False) for name in names]


entry = Table(
    "entry",
    metadata,
    Column("position", BigNumber, primary_key=True, autoincrement=True),
    Column("subject", Text, nullable=False),
    Column("sequence", Integer, nullable=False),
    *_texts("id", "kind", "payload", "by_tag", "terminal", "at", "previous", "digest"),
    UniqueConstraint("subject", "sequence", name="entry_subject_sequence"),
    UniqueConstraint("id", name="entry_id"),
    Index("entry_by", "by_tag", "at", "position"),
    Index("entry_news", "position", "subject", "kind", "by_tag"),
)
"""Append-only (triggers refuse the rest). `payload` is the canonical JSON of the entry; `previous` and
`digest` chain the entries of one subject."""

card = Table(
    "card",
    metadata,
    Column("tag", Text, primary_key=True),
    *_texts("unit_kind", "maker", "model", "serial", "customer", "order_ref", "fault"),
    *_texts("station", "place", "outcome", "held_reason", "hazards", "next_check", "last_by"),
    *(Column(name, Text) for name in ("promised", "look_again", "released_at")),
    *(Column(name, Text) for name in ("booked_at", "arrived_at", "last_at")),
    *_numbers("checks_done", "checks_asked", "work_done", "work_lines", "stale", "failed"),
    *_numbers("open_questions", "nonconformities", "sequence"),
    Column("matters", Text, nullable=False, server_default=""),
    Column("matters_edition", Integer, nullable=False, server_default="0"),
    Column("words", Text, nullable=False),
    Index("card_station", "station"),
    Index("card_serial", "serial"),
    Index("card_customer", "customer"),
    Index("card_order_ref", "order_ref"),
    Index("card_promised", "promised"),
    Index("card_released_at", "released_at"),
)
"""One row per unit, made from its entries and replaceable by them. `words` holds what a search looks
through, folded so that case does not matter; `matters` what the unit has to tell the next shift, as JSON."""

sheet = Table(
    "sheet",
    metadata,
    *_texts("station", "edition", "content", "registered_at"),
    PrimaryKeyConstraint("station", "edition", name="sheet_pkey"),
)

picture = Table(
    "picture",
    metadata,
    Column("sha256", Text, primary_key=True),
    *_texts("name", "media_type"),
    Column("bytes", LargeBinary, nullable=False),
    Column("size", Integer, nullable=False),
)

counter = Table(
    "counter",
    metadata,
    Column("name", Text, primary_key=True),
    Column("value", BigNumber, nullable=False),
)

sample_chunk = Table(
    "sample_chunk",
    metadata,
    *_texts("run"),
    *_numbers("number", "samples"),
    *_texts("begins", "ends", "sha256"),
    Column("bytes", LargeBinary, nullable=False),
    PrimaryKeyConstraint("run", "number", name="sample_chunk_pkey"),
)
"""A logger's samples, packed; an entry of the unit holds their digest."""

open_chunk = Table(
    "open_chunk",
    metadata,
    Column("run", Text, primary_key=True),
    *_texts("head"),
    *_numbers("samples"),
    Column("bytes", LargeBinary, nullable=False),
)
"""What came from a logger and is not a chunk yet, so that a follower that is killed loses next to nothing. `head`
is JSON: the names of the channels, and what was wrong."""

pin = Table(
    "pin",
    metadata,
    Column("person", Text, primary_key=True),
    *_texts("hash", "changed_at"),
    Column("wrong", Integer, nullable=False, server_default="0"),
    Column("wrong_at", Text),
)
"""`wrong` counts the wrong PINs since the last right one, `wrong_at` is the last of them."""
