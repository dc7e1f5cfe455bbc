"""An item about several units of a station: how it is named in a list, and the way from it to each unit."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from traveller.screens.choice import Choice, Way

if TYPE_CHECKING:
    from traveller.record.handover_entries import Piece
    from traveller.screens.app import TravellerApp

LETTERS = "123456789abcdefghijklmnopqrstuvwxyz"


def about(unit: str, pieces: Sequence[Piece]) -> str:
    """``U000042Q``, ``7 units`` or ``shop``."""
    return unit or (f"{len(pieces)} units" if pieces else "shop")


def way_in(unit: str, pieces: Sequence[Piece]) -> str:
    """Said beside an item that Enter does not open at once."""
    return " · Enter lists them" if pieces and not unit else ""


def open_units(terminal: TravellerApp, title: str, unit: str, pieces: Sequence[Piece]) -> None:
    """Open the unit of an item; of several, ask which."""
    if unit or not pieces:
        if unit:
            terminal.open_unit(unit)
        return
    letters = LETTERS.ljust(len(pieces), "·")
    ways = [Way(one.unit, letters[place], one.unit, one.says) for place, one in enumerate(pieces)]

    def chosen(tag: str | None) -> None:
        if tag:
            terminal.open_unit(tag)

    terminal.push_screen(Choice(title, ways), chosen)
