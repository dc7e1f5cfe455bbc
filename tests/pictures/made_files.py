"""Picture files of every kind that a phone or a microscope hands over, made with pillow or by hand."""

from __future__ import annotations

import struct
from io import BytesIO
from typing import Any

from PIL import Image

RED, GREEN, BLUE, GREY = (220, 20, 20), (20, 200, 20), (20, 20, 220), (128, 128, 128)


def corners(size: tuple[int, int] = (80, 48)) -> Image.Image:
    """Red at the top left, green at the top right, blue at the bottom left, grey at the bottom right."""
    image = Image.new("RGB", size, GREY)
    half = (size[0] // 2, size[1] // 2)
    image.paste(RED, (0, 0, *half))
    image.paste(GREEN, (half[0], 0, size[0], half[1]))
    image.paste(BLUE, (0, half[1], half[0], size[1]))
    return image


def file_of(image: Image.Image, kind: str, **how: Any) -> bytes:
    file = BytesIO()
    image.save(file, kind, **({"quality": 95} if kind == "JPEG" else {}), **how)
    return file.getvalue()


def colour_at(data: bytes, where: tuple[float, float]) -> tuple[int, ...]:
    """The colour at a place given as shares of width and height."""
    image = Image.open(BytesIO(data)).convert("RGB")
    found = image.getpixel((int(where[0] * image.width), int(where[1] * image.height)))
    assert isinstance(found, tuple)
    return found


PLACES = {"top left": (0.2, 0.2), "top right": (0.8, 0.2), "bottom left": (0.2, 0.8), "bottom right": (0.8, 0.8)}


def looks_like_corners(data: bytes, off: int = 40) -> bool:
    expected = dict(zip(PLACES, (RED, GREEN, BLUE, GREY), strict=True))
    return all(
        all(abs(a - b) <= off for a, b in zip(colour_at(data, PLACES[place]), colour, strict=True))
        for place, colour in expected.items()
    )


def exif_with_place(orientation: int = 1) -> bytes:
    """Exif as a phone writes it: orientation, moment, maker, and where it stood (Exif 2.32, 4.6.6)."""
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x010F] = "PHONEMAKER"
    exif.get_ifd(0x8769)[0x9003] = "2031:03:03 06:00:00"
    exif.get_ifd(0x8825).update({1: "N", 2: (53.0, 33.0, 12.5), 3: "E", 4: (9.0, 59.0, 33.0), 29: "2031:03:03"})
    return exif.tobytes()


def tiff_16_bit_rgb(width: int = 16, height: int = 8) -> bytes:
    """Little-endian TIFF 6.0, three samples of 16 bits, no compression, one strip: bright red."""
    pixels = struct.pack("<3H", 60000, 2000, 2000) * (width * height)
    entries = [
        (256, 3, 1, width),
        (257, 3, 1, height),
        (258, 3, 3, 8 + len(pixels)),
        (259, 3, 1, 1),
        (262, 3, 1, 2),
        (273, 4, 1, 8),
        (277, 3, 1, 3),
        (278, 3, 1, height),
        (279, 4, 1, len(pixels)),
    ]
    at = 8 + len(pixels) + 6
    directory = struct.pack("<H", len(entries)) + b"".join(struct.pack("<HHII", *one) for one in entries) + bytes(4)
    return b"II*\0" + struct.pack("<I", at) + pixels + struct.pack("<3H", 16, 16, 16) + directory


def png_that_says(width: int, height: int) -> bytes:
    """A PNG of a few bytes whose header promises any size (ISO/IEC 15948, 11.2.2)."""
    import zlib

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", zlib.compress(bytes(100))) + chunk(b"IEND", b"")
