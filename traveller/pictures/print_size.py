"""A photo as small as a page needs it, so that a report can go by mail."""

from __future__ import annotations

import io

LONGEST_EDGE = 900
"""Pixels: a print 58 mm wide at about 400 dots per inch."""
QUALITY = 82


def for_print(data: bytes) -> bytes | None:
    """The photo as JPEG, None when it cannot be read; the same photo always gives the same bytes."""
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(data)) as image:
            small = image.convert("RGB")
            small.thumbnail((LONGEST_EDGE, LONGEST_EDGE))
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        return None
    out = io.BytesIO()
    small.save(out, "JPEG", quality=QUALITY)
    return out.getvalue()
