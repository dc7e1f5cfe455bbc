"""The kinds of entry about photos."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from traveller.vocabulary import Plain


class PhotoTaken(Plain):
    """Photos of the unit, each by the SHA-256 of what is kept; `originals` are those of the files they came from.

    `of` is the full key of a check, the reference of a work line, or empty for the unit as a whole. A photo
    changes nothing on the unit, so no proof goes stale by it.
    """

    kind: Literal["photo taken"] = "photo taken"
    of: str = ""
    pictures: tuple[str, ...] = Field(min_length=1)
    originals: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    caption: str = Field(default="", max_length=400)
