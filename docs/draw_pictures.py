"""Draws the pictures of README and docs from the real screens of a freshly built demo workshop.

Run it from a checkout: ``.venv/bin/python docs/draw_pictures.py``. Units are chosen by their story, so that a
picture only changes when its screen does. The pictures fetch nothing from outside.
"""

from __future__ import annotations

import asyncio
import tempfile
from collections.abc import Mapping
from pathlib import Path

from still import (
    CLERK,
    LEAD,
    LOAD_TESTER,
    Shot,
    build_demo,
    own_folder,
    picture_of,
    standing_still,
)

from traveller.store.cards import Card
from traveller.tags import read_tag
from traveller.tags.label import Label, draw_label

PICTURES = Path(__file__).parent / "pictures"
SIZE = (100, 30)
SHOTS = {
    "unit": Shot(LOAD_TESTER, "load_test", "live"),
    "bench": Shot(),
    "floor": Shot(LEAD, "load_test", steps=("f3", "down", "down")),
    "gate": Shot(CLERK, "dispatch", "packed", ("f8",)),
    "brief": Shot(LEAD, "load_test", steps=("f11",)),
    "accepting": Shot(LEAD, "load_test", steps=("f11", "a")),
    "run": Shot(LOAD_TESTER, "load_test", "live", ("f6", "o")),
    "siblings": Shot(station="diagnosis", unit="siblings", steps=("f6", "t")),
    "worklist": Shot(unit="half fitted", steps=("f7",)),
    "thermal": Shot(LOAD_TESTER, "load_test", "hot spot", ("f6", "v")),
}


async def draw(shot: Shot, database: str, tags: Mapping[str, str]) -> str:
    async with standing_still(shot, database, tags, SIZE) as (terminal, pilot):
        terminal.tell("")
        return await picture_of(terminal, pilot)


def label(cards: list[Card], tag: str) -> bytes:
    """The label of a unit that is still charged."""
    card = next(one for one in cards if one.tag == tag)
    return draw_label(Label(read_tag(tag), "AC drive", card.customer, ("stored charge",)), dpi=300)


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        own_folder(Path(folder))
        database = str(Path(folder) / "demo.sqlite")
        cards, tags = build_demo(database)
        PICTURES.mkdir(exist_ok=True)
        for name, shot in SHOTS.items():
            svg = asyncio.run(draw(shot, database, tags))
            (PICTURES / f"{name}.svg").write_text(svg, encoding="utf-8")
        (PICTURES / "label.png").write_bytes(label(cards, tags["charged"]))


if __name__ == "__main__":
    main()
