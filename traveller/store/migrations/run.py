"""Bring a database up to this version. Imported only when there is something to do: Alembic is heavy."""

from __future__ import annotations

from pathlib import Path

from alembic import command
from alembic.config import Config
from sqlalchemy import Connection


def migrations_config() -> Config:
    """Finds the migrations beside this file, in a checkout as in an installed package."""
    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    return config


def upgrade(connection: Connection) -> None:
    """Run what is missing inside the caller's transaction; the caller holds the writers' lock."""
    config = migrations_config()
    config.attributes["connection"] = connection
    command.upgrade(config, "head")
