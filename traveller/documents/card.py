"""A card for a role on one page, to hang up at the bench: what to scan, which keys, the signs, what never to do."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Sequence
from datetime import date
from functools import cache
from pathlib import Path

from pydantic import BaseModel, ConfigDict
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Table
from reportlab.platypus.tables import TableStyle

from traveller.documents.letters import BOLD
from traveller.documents.page import HAIR, Margins, Paper, Sheet, styled, typeset
from traveller.vocabulary import Plain

WORDS = Path(__file__).with_name("cards") / "en.toml"
TITLE = styled("card title", 20, 24, BOLD)
OPENING = styled("card opening", 11, 14)
HEADING = styled("card heading", 11, 14, BOLD, spaceBefore=5, spaceAfter=1)
LEFT = styled("card left", 10, 12.6, BOLD)
RIGHT = styled("card right", 10, 12.6)
NEVER = styled("card never", 10.5, 13.6, BOLD)
LABELS = 0.29


class Part(Plain):
    """Rows of two: what is scanned, typed or called, and what comes of it."""

    heading: str
    rows: tuple[tuple[str, str], ...]


class Keys(Part):
    """Rows of an action and what it does. `page` is the file and class of a page; empty for the whole program."""

    page: str = ""


class Never(Plain):
    rows: tuple[str, ...]


class Card(Plain):
    title: str
    opening: str
    part: tuple[Part, ...] = ()
    keys: tuple[Keys, ...] = ()
    never: Never


class Cards(BaseModel):
    """The words of all cards, as they stand in the file beside this one."""

    model_config = ConfigDict(frozen=True, extra="allow")

    foot: str
    signs: str
    never: str

    def roles(self) -> dict[str, Card]:
        return {name: Card.model_validate(held) for name, held in (self.model_extra or {}).items()}


@cache
def cards() -> Cards:
    return Cards.model_validate(tomllib.loads(WORDS.read_text(encoding="utf-8")))


KeyOf = Callable[[str, str], str]
"""(page, action) -> the key that is bound to it, as a person calls it."""


def card_paper(role: str, key_of: KeyOf, signs: Sequence[tuple[str, str, str]], paper: Paper, day: date) -> bytes:
    """The card as PDF; `role` is one of `cards().roles()`, `signs` are sign, name and meaning."""
    words, sheet = cards(), Sheet("en", paper)
    card = words.roles()[role]
    story: list[Flowable] = [sheet.say(card.title, TITLE), sheet.say(card.opening, OPENING)]
    for part in card.part:
        story += _rows(sheet, part.heading, part.rows)
    for keys in card.keys:
        story += _rows(sheet, keys.heading, [(key_of(keys.page, action), does) for action, does in keys.rows])
    if card.keys:
        story += _rows(sheet, words.signs, [(f"{sign}  {name}", meaning) for sign, name, meaning in signs])
    story += [sheet.say(words.never, HEADING), _framed(sheet, card.never.rows)]
    margins = Margins(card.title, "Workshop traveller", words.foot, "", f"Card: {card.title}", card.title, day)
    return typeset(story, sheet, margins)


def _rows(sheet: Sheet, heading: str, rows: Sequence[tuple[str, str]]) -> list[Flowable]:
    cells = [[sheet.say(left, LEFT), sheet.say(right, RIGHT)] for left, right in rows]
    table = Table(cells, colWidths=[sheet.width * LABELS, sheet.width * (1 - LABELS)])
    table.setStyle(_ROWS)
    return [sheet.say(heading, HEADING), table]


def _framed(sheet: Sheet, rows: Sequence[str]) -> Flowable:
    table = Table([[sheet.say(f"✗  {row}", NEVER)] for row in rows], colWidths=[sheet.width])
    table.setStyle(_FRAME)
    return table


_ROWS = TableStyle(
    [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 0.8),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.2),
        ("LINEBELOW", (0, 0), (-1, -1), HAIR, (0.7, 0.7, 0.7)),
    ]
)
_FRAME = TableStyle(
    [
        ("BOX", (0, 0), (-1, -1), 1.2, (0, 0, 0)),
        ("LEFTPADDING", (0, 0), (-1, -1), 3 * mm),
        ("TOPPADDING", (0, 0), (-1, -1), 1.6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2),
    ]
)
