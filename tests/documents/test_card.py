"""The cards of the roles: one page each, keys that are bound, commands that exist, letters that can be printed."""

from __future__ import annotations

import io
from datetime import date
from pathlib import Path

import click
import pypdfium2
import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from traveller.commands.card import ROLES
from traveller.commands.root import root
from traveller.documents.card import card_paper, cards
from traveller.documents.letters import Letters
from traveller.documents.page import Paper
from traveller.screens.bound import key_of
from traveller.screens.words import SIGNS
from traveller.terminal import Settings

MILLIMETRES = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""ISO 216 A4; ANSI Y14.1 size A, 8.5 by 11 inches."""
POINT = 25.4 / 72


def test_there_is_a_card_for_each_role_of_the_command() -> None:
    assert tuple(cards().roles()) == ROLES


@pytest.mark.parametrize("paper", MILLIMETRES)
@pytest.mark.parametrize("role", ROLES)
def test_a_card_is_exactly_one_page_of_its_paper(role: str, paper: Paper) -> None:
    pdf = card_paper(role, key_of, SIGNS, paper, date(2031, 3, 3))
    document = pypdfium2.PdfDocument(pdf)
    assert len(document) == 1
    assert [side * POINT for side in document[0].get_size()] == pytest.approx(MILLIMETRES[paper], abs=0.2)


@pytest.mark.parametrize("role", ROLES)
def test_every_word_of_the_card_is_on_the_paper(role: str) -> None:
    card = cards().roles()[role]
    pdf = card_paper(role, key_of, SIGNS, "a4", date(2031, 3, 3))
    printed = " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
    rows = [text for part in card.part for row in part.rows for text in row]
    rows += [does for keys in card.keys for _, does in keys.rows]
    for text in (card.opening, *rows, *card.never.rows, cards().foot):
        assert " ".join(text.split()) in printed
    assert "□" not in Letters()("".join(rows) + "".join(sign for sign, _, _ in SIGNS))


def test_every_key_of_a_card_is_bound_on_its_page() -> None:
    named = [(keys.page, action) for card in cards().roles().values() for keys in card.keys for action, _ in keys.rows]
    assert len(named) > 30
    for page, action in named:
        assert key_of(page, action)
    assert key_of("unit:UnitPage", "gate") == "F8"
    assert key_of("", "kept") == "Ctrl+O"
    with pytest.raises(StopIteration):
        key_of("unit:UnitPage", "fly")


def test_every_command_and_setting_of_the_administrators_card_exists() -> None:
    card = cards().roles()["administrator"]
    for left, _ in (row for part in card.part for row in part.rows):
        if left.startswith("traveller "):
            command: click.Command = root
            for word in left.split()[1:]:
                if isinstance(command, click.Group) and word.islower():
                    found = command.get_command(click.Context(command), word)
                    assert found, left
                    command = found
    assert {"name", "station", "look", "bell"} <= set(Settings.model_fields)


def test_the_command_writes_the_card(tmp_path: Path) -> None:
    runner, file = CliRunner(), tmp_path / "card.pdf"
    done = runner.invoke(root, ["card", "technician", "--output", str(file), "--paper", "letter"])
    assert done.exit_code == 0, done.output
    assert len(pypdfium2.PdfDocument(file)) == 1
    refused = runner.invoke(root, ["card", "technician", "--output", str(tmp_path / "nowhere" / "card.pdf")])
    assert refused.exit_code == 2
    assert "cannot be written" in refused.output
