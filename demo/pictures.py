"""Small invented pictures of opened units: a board, its parts, and one part that went dark."""

from __future__ import annotations

import random
import struct
import zlib
from pathlib import Path

WIDTH, HEIGHT = 160, 120
BOARD, COPPER, BURNT = (24, 92, 58), (196, 164, 92), (38, 22, 18)
PARTS = ((52, 58, 66), (168, 172, 178), (30, 60, 120), (120, 84, 48))

Colour = tuple[int, int, int]


def draw_inside(folder: Path, name: str) -> Path:
    """A PNG of `name`'s inside in `folder`; the same name gives the same picture."""
    chance = random.Random(name)
    rows = [[COPPER if (x + y) % 24 == 0 else BOARD for x in range(WIDTH)] for y in range(HEIGHT)]
    for place in range(14):
        colour = BURNT if place == 13 else chance.choice(PARTS)
        _part(rows, chance.randrange(4, WIDTH - 36), chance.randrange(4, HEIGHT - 28), colour, chance)
    path = folder / f"{name}.png"
    path.write_bytes(_png(rows))
    return path


def _part(rows: list[list[Colour]], left: int, top: int, colour: Colour, chance: random.Random) -> None:
    width, height = chance.randrange(8, 32), chance.randrange(6, 24)
    for row in rows[top : top + height]:
        row[left : left + width] = [colour] * width


def _png(rows: list[list[Colour]]) -> bytes:
    """RGB, 8 bit, no filter (PNG, third edition, clauses 5 and 9)."""
    pixels = b"".join(b"\0" + bytes(part for pixel in row for part in pixel) for row in rows)
    head = struct.pack(">IIBBBBB", WIDTH, HEIGHT, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(pixels, 9)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in chunks
    )
