"""Each point of the published guidance names a screen or a command that there is."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from textual.screen import Screen

from traveller.commands.root import root
from traveller.screens.app import TravellerApp
from traveller.screens.handover.brief_page import BriefPage
from traveller.screens.handover.giving_page import GivingPage
from traveller.screens.handover.taking_page import TakingPage

PAGE = (Path(__file__).parents[2] / "docs" / "handover.md").read_text(encoding="utf-8")
SCREENS: dict[str, type[Screen[None]]] = {"brief": BriefPage, "giving": GivingPage, "taking": TakingPage}
ROW = re.compile(r"^\| (?P<row>H-\d+) \| (?P<asked>[^|]+)\|(?P<source>[^|]*)\| (?P<by>[^|]+)\| (?P<how>[^|]+)\|$", re.M)
ROWS = [found.groupdict() for found in ROW.finditer(PAGE)]


def test_there_is_a_row_for_each_point() -> None:
    assert [one["row"] for one in ROWS] == [f"H-{number}" for number in range(1, 23)]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: str(row["row"]))
def test_a_row_names_what_there_is(row: dict[str, str]) -> None:
    served = re.findall(r"(screen|command) `([\w-]+)`", row["by"])
    assert served
    context = root.make_context("traveller", [], resilient_parsing=True)
    commands = {name: root.get_command(context, name) for kind, name in served if kind == "command"}
    pages = [SCREENS.get(name) for kind, name in served if kind == "screen"]
    assert all(commands.values()) and all(pages)
    for option in re.findall(r"`(--[\w-]+)`", row["how"]):
        assert any(option in one.opts for command in commands.values() if command for one in command.params)
    shown = [page for page in pages if page] or [GivingPage]
    keys = {str(getattr(one, "key", "")) for page in shown for one in page.BINDINGS}
    for key in re.findall(r"`(\w)`", row["how"]):
        assert key in keys


def test_the_page_names_the_key_of_the_brief() -> None:
    assert "F11 is the brief" in PAGE
    assert any(getattr(one, "key", "") == "f11" for one in TravellerApp.BINDINGS)
