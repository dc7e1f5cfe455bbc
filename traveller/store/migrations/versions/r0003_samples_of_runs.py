"""The samples of heat runs: kept chunks, and the one that is still open."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    op.create_table(
        "sample_chunk",
        sa.Column("run", sa.Text, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("samples", sa.Integer, nullable=False),
        *(sa.Column(name, sa.Text, nullable=False) for name in ("begins", "ends", "sha256")),
        sa.Column("bytes", sa.LargeBinary, nullable=False),
        sa.PrimaryKeyConstraint("run", "number", name="sample_chunk_pkey"),
    )
    op.create_table(
        "open_chunk",
        sa.Column("run", sa.Text, primary_key=True),
        sa.Column("head", sa.Text, nullable=False),
        sa.Column("samples", sa.Integer, nullable=False),
        sa.Column("bytes", sa.LargeBinary, nullable=False),
    )
