"""The gallery shows every page and every kind of sheet that there is, and nothing that is gone."""

from __future__ import annotations

import importlib
import pkgutil
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from textual.screen import ModalScreen, Screen

from traveller import screens
from traveller.screens.page import Page

DOCS = Path(__file__).parents[2] / "docs"


@pytest.fixture(scope="module", name="scenes")
def _scenes() -> Iterator[ModuleType]:
    sys.path.insert(0, str(DOCS))
    yield importlib.import_module("scenes")
    sys.path.remove(str(DOCS))


def screens_there_are() -> set[str]:
    """The classes that are shown as a screen, found in every module of the room."""
    for module in pkgutil.walk_packages(screens.__path__, f"{screens.__name__}."):
        importlib.import_module(module.name)
    found: set[type[Screen[Any]]] = set()
    waiting: list[type[Screen[Any]]] = [Page, ModalScreen]
    while waiting:
        for one in waiting.pop().__subclasses__():
            if one.__module__.startswith(f"{screens.__name__}."):
                found.add(one)
            waiting.append(one)
    return {one.__name__ for one in found if not one.__name__.startswith("Page[")}


def test_the_gallery_names_every_screen_there_is_and_no_other(scenes: ModuleType) -> None:
    assert {scene.page for scene in scenes.SCENES} == screens_there_are()


def test_every_scene_has_its_picture_and_every_picture_its_scene(scenes: ModuleType) -> None:
    names = [scene.name for scene in scenes.SCENES]
    assert len(set(names)) == len(names)
    assert {one.stem for one in (DOCS / "pictures" / "screens").glob("*.png")} == set(names)


def test_the_page_of_the_screens_is_up_to_date(scenes: ModuleType) -> None:
    written = (DOCS / "screens.md").read_text(encoding="utf-8")
    assert written == scenes.listing(), "run: .venv/bin/python docs/draw_gallery.py"


def test_the_gallery_stays_small() -> None:
    assert sum(one.stat().st_size for one in (DOCS / "pictures" / "screens").glob("*.png")) < 5_000_000
