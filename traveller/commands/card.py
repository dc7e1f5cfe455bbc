"""The command that prints a card for a role, with the keys as they are bound in the screens."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from traveller.commands.papers import paper_option, write

if TYPE_CHECKING:
    from traveller.documents.page import Paper

ROLES = ("technician", "incoming-shift", "dispatch-clerk", "lead", "administrator")


@click.command()
@click.argument("role", type=click.Choice(ROLES))
@click.option("--output", type=click.Path(path_type=Path, dir_okay=False), required=True, help="PDF file to write.")
@paper_option
def card(role: str, output: Path, paper: Paper) -> None:
    """A card for a role on one page, to hang up: what to scan, which keys, what the signs mean, what never to do."""
    from traveller.documents.card import card_paper
    from traveller.screens.bound import key_of
    from traveller.screens.words import SIGNS

    write(output, card_paper(role, key_of, SIGNS, paper, date.today()))


COMMANDS: list[click.Command] = [card]
