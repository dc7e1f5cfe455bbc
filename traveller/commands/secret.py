"""Secrets for commands: typed where nobody sees them, or from the environment. Never on the command line, where
everybody on the machine can read them (`ps`) and the shell remembers them."""

from __future__ import annotations

import os
import re

import click

from traveller.errors import InputError

PIN = "TRAVELLER_PIN"
NEW_PIN = "TRAVELLER_NEW_PIN"
WITH_PASSWORD = re.compile(r"^[^/]*://[^/@:]*:[^@]+@|[?&](ssl)?password=", re.IGNORECASE)


def own_pin() -> str:
    """The PIN of the person who acts."""
    return os.environ.get(PIN) or str(click.prompt("PIN", hide_input=True))


def new_pin(asks: str) -> str:
    return os.environ.get(NEW_PIN) or str(click.prompt(asks, hide_input=True, confirmation_prompt=True))


def need_no_password(database: str) -> None:
    """InputError when the name of a database, as it stands on the command line, has a password in it."""
    if WITH_PASSWORD.search(database):
        raise InputError(
            "A password on the command line can be read by everybody on this machine: leave it out of --database and "
            "put it into PostgreSQL's password file (~/.pgpass), or name the database in TRAVELLER_DATABASE."
        )
