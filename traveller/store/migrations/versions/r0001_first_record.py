"""The first form of the record: entries that stay, cards, sheets, pictures, counters, PINs."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

FINAL = "An entry is never changed or erased: write another entry that corrects it."

SQLITE_TRIGGERS = tuple(
    f"CREATE TRIGGER entry_refuses_{event.lower()} BEFORE {event} ON entry "
    f"BEGIN SELECT RAISE(ABORT, '{FINAL}'); END"
    for event in ("UPDATE", "DELETE")
)

POSTGRESQL_TRIGGERS = (
    "CREATE FUNCTION entry_is_final() RETURNS trigger LANGUAGE plpgsql AS "
    f"$$ BEGIN RAISE EXCEPTION '{FINAL}' USING ERRCODE = 'restrict_violation'; END $$",
    "CREATE TRIGGER entry_refuses_change BEFORE UPDATE OR DELETE OR TRUNCATE ON entry "
    "FOR EACH STATEMENT EXECUTE FUNCTION entry_is_final()",
    "CREATE FUNCTION entry_is_announced() RETURNS trigger LANGUAGE plpgsql AS "
    "$$ BEGIN PERFORM pg_notify('traveller_entry', ''); RETURN NULL; END $$",
    "CREATE TRIGGER entry_announces AFTER INSERT ON entry "
    "FOR EACH STATEMENT EXECUTE FUNCTION entry_is_announced()",
)


def _texts(*names: str) -> list[sa.Column[str]]:
    return [sa.Column(name, sa.Text, nullable=False) for name in names]


def _numbers(*names: str) -> list[sa.Column[int]]:
    return [sa.Column(name, sa.Integer, nullable=False) for name in names]


def upgrade() -> None:
    _entries()
    _cards()
    _the_rest()
    on_sqlite = op.get_bind().dialect.name == "sqlite"
    for statement in SQLITE_TRIGGERS if on_sqlite else POSTGRESQL_TRIGGERS:
        op.execute(statement)


def _big_number() -> sa.types.TypeEngine[int]:
    return sa.BigInteger().with_variant(sa.Integer(), "sqlite")


def _entries() -> None:
    op.create_table(
        "entry",
        sa.Column("position", _big_number(), primary_key=True, autoincrement=True),
        sa.Column("subject", sa.Text, nullable=False),
        sa.Column("sequence", sa.Integer, nullable=False),
        *_texts("id", "kind", "payload", "by_tag", "terminal", "at", "previous", "digest"),
        sa.UniqueConstraint("subject", "sequence", name="entry_subject_sequence"),
        sa.UniqueConstraint("id", name="entry_id"),
    )


def _cards() -> None:
    op.create_table(
        "card",
        sa.Column("tag", sa.Text, primary_key=True),
        *_texts("unit_kind", "maker", "model", "serial", "customer", "order_ref", "fault"),
        *_texts("station", "place", "outcome", "held_reason", "hazards", "next_check", "last_by"),
        *(sa.Column(name, sa.Text) for name in ("promised", "look_again", "released_at")),
        *(sa.Column(name, sa.Text) for name in ("booked_at", "arrived_at", "last_at")),
        *_numbers("checks_done", "checks_asked", "work_done", "work_lines", "stale", "failed"),
        *_numbers("open_questions", "nonconformities", "sequence"),
        *_texts("words"),
    )
    for column in ("station", "serial", "customer", "order_ref", "promised"):
        op.create_index(f"card_{column}", "card", [column])


def _the_rest() -> None:
    op.create_table(
        "sheet",
        *_texts("station", "edition", "content", "registered_at"),
        sa.PrimaryKeyConstraint("station", "edition", name="sheet_pkey"),
    )
    op.create_table(
        "picture",
        sa.Column("sha256", sa.Text, primary_key=True),
        *_texts("name", "media_type"),
        sa.Column("bytes", sa.LargeBinary, nullable=False),
        sa.Column("size", sa.Integer, nullable=False),
    )
    op.create_table(
        "counter",
        sa.Column("name", sa.Text, primary_key=True),
        sa.Column("value", _big_number(), nullable=False),
    )
    op.create_table("pin", sa.Column("person", sa.Text, primary_key=True), *_texts("hash", "changed_at"))
