"""What a unit has to tell the next shift stands on its card; who was last here when is found by an index."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    op.add_column("card", sa.Column("matters", sa.Text, nullable=False, server_default=""))
    op.add_column("card", sa.Column("matters_edition", sa.Integer, nullable=False, server_default="0"))
    op.create_index("card_released_at", "card", ["released_at"])
    op.create_index("entry_by", "entry", ["by_tag", "at", "position"])
    op.create_index("entry_news", "entry", ["position", "subject", "kind", "by_tag"])
