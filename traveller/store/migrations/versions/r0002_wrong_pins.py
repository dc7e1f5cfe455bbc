"""Wrong PINs are counted, so that guessing slows down and ends."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    op.add_column("pin", sa.Column("wrong", sa.Integer, nullable=False, server_default="0"))
    op.add_column("pin", sa.Column("wrong_at", sa.Text))
