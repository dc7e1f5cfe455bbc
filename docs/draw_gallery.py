"""Draws every screen in three looks and two sizes, one sheet a scene, and lists the sheets in docs/screens.md.

Run it from a checkout, after ``pip install -e '.[pictures]'``: ``.venv/bin/python docs/draw_gallery.py``. Names of
scenes draw only those; ``--demo FILE`` keeps the demo workshop for the next time.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import tempfile
from collections.abc import Callable, Mapping, Sequence
from importlib import import_module
from io import BytesIO
from pathlib import Path

import resvg_py
from PIL import Image
from scenes import CAMERA_FILE, SCENES, Scene, Shop, listing
from sqlalchemy import Connection, event
from still import NOON, build_demo, own_folder, picture_of, standing_still
from textual.color import Color
from textual.theme import Theme

from traveller.errors import Away
from traveller.screens.app import TravellerApp
from traveller.screens.looks import LOOKS
from traveller.shipped import load_package, shipped_folder

DOCS = Path(__file__).parent
GALLERY = DOCS / "pictures" / "screens"
SIZES = ((80, 24), (120, 40))
ZOOM = 6 / 12.2
COLOURS = 14
"""Pixels a cell over those of the SVG, and colours of one picture: small files that can still be read."""
SYSTEM_SCREENS = {"CommandPalette"}
"""Textual's own screens keep the look that they were opened in."""
GAP = 10


async def draw(scene: Scene, database: str, tags: Mapping[str, str]) -> Image.Image:
    """One sheet: the looks below each other, the sizes beside each other."""
    columns = [await draw_at(size, scene, database, tags) for size in SIZES]
    width = sum(column[0].width for column in columns) + GAP * (len(SIZES) + 1)
    heights = [max(column[n].height for column in columns) for n in range(len(LOOKS))]
    sheet = Image.new("RGB", (width, sum(heights) + GAP * (len(LOOKS) + 1)), "#808890")
    left = GAP
    for column in columns:
        top = GAP
        for picture, height in zip(column, heights, strict=True):
            sheet.paste(picture, (left, top))
            top += height + GAP
        left += column[0].width + GAP
    return sheet


async def draw_at(size: tuple[int, int], scene: Scene, database: str, tags: Mapping[str, str]) -> list[Image.Image]:
    """The scene in every look at one size."""
    if scene.page in SYSTEM_SCREENS:
        return [(await in_looks([look], size, scene, database, tags))[0] for look in LOOKS]
    return await in_looks(LOOKS, size, scene, database, tags)


async def in_looks(
    looks: Sequence[Theme], size: tuple[int, int], scene: Scene, database: str, tags: Mapping[str, str]
) -> list[Image.Image]:
    with tempfile.TemporaryDirectory() as folder:
        lay_folder(Path(folder), with_camera=any(CAMERA_FILE in step for step in scene.shot.steps))
        async with standing_still(scene.shot, database, tags, size, EVENTS[scene.shop], looks[0].name) as (
            terminal,
            pilot,
        ):
            found = type(terminal.screen).__name__
            if found != scene.page:
                raise SystemExit(f"{scene.name} shows {found}, not {scene.page}.")
            drawn = []
            for look in looks:
                terminal.theme = look.name
                drawn.append(as_picture(await picture_of(terminal, pilot), look))
            return drawn


def lay_folder(folder: Path, with_camera: bool) -> None:
    """A terminal's folder of its own, with a picture of the thermal camera in it where the scene needs one."""
    own_folder(folder)
    os.chdir(folder)
    if not with_camera:
        return
    load_package("traveller_demo", shipped_folder("demo"))
    camera = import_module("traveller_demo.camera")
    camera.write_table(folder / CAMERA_FILE, camera.power_stage(hot="Q4", extra=14.0))


def cable_out(terminal: TravellerApp) -> None:
    """The database cannot be reached any more."""
    terminal.workshop.desk.lately.reached_at = NOON

    def out(_connection: Connection) -> None:
        raise Away("The cable is out.")

    event.listen(terminal.workshop.engine, "engine_connect", out)


EVENTS: dict[Shop, Callable[[TravellerApp], None] | None] = {Shop.DEMO: None, Shop.EMPTY: None, Shop.AWAY: cable_out}


def signal_colours(look: Theme) -> list[tuple[int, int, int]]:
    """What few words are written in would get lost among the greys: words, warning and accent, full and half."""
    ground = Color.parse(str(look.background))
    named = [Color.parse(str(colour)) for colour in (look.foreground, look.warning, look.primary)]
    return [ground.blend(one, share).rgb for one in named for share in (0.5, 1.0)]


def as_picture(svg: str, look: Theme) -> Image.Image:
    """The colours that cover most of it are kept as they are, every other one becomes the nearest of them."""
    png = resvg_py.svg_to_bytes(svg_string=svg, zoom=ZOOM, font_family="DejaVu Sans Mono")
    picture = Image.open(BytesIO(bytes(png))).convert("RGB")
    counted = sorted(picture.getcolors(picture.width * picture.height) or (), reverse=True)
    palette = Image.new("P", (1, 1))
    kept = [colour for _, colour in counted[:COLOURS]] + signal_colours(look)
    palette.putpalette([part for colour in kept for part in colour])
    return picture.quantize(palette=palette, dither=Image.Dither.NONE).convert("RGB")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("scenes", nargs="*", help="the names of scenes; all if left out")
    parser.add_argument("--demo", type=Path, help="the demo workshop, built there if it is not there yet")
    parser.add_argument("--out", type=Path, default=GALLERY)
    asked = parser.parse_args()
    out = asked.out.absolute()
    out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        own_folder(Path(folder))
        demo = str(asked.demo.absolute() if asked.demo else Path(folder) / "demo.sqlite")
        _cards, tags = build_demo(demo)
        for scene in SCENES:
            if asked.scenes and scene.name not in asked.scenes:
                continue
            database = str(Path(folder) / f"{scene.name}.sqlite") if scene.shop is Shop.EMPTY else demo
            sheet = asyncio.run(draw(scene, database, tags))
            sheet.quantize(128, Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE).save(
                out / f"{scene.name}.png", optimize=True
            )
    (DOCS / "screens.md").write_text(listing(), encoding="utf-8")


if __name__ == "__main__":
    main()
