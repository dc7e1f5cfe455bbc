"""Run by Alembic: migrates over the connection that `upgrade` hands in, inside its transaction."""

from __future__ import annotations

from alembic import context

from traveller.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=True,
)
with context.begin_transaction():
    context.run_migrations()
