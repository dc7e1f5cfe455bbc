"""Thermal pictures of a unit: read from a file, kept, judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from traveller.pictures.grid import packed, read_grid, unpacked
from traveller.record.acts.deeds.looking import TakingThermalPicture
from traveller.record.acts.thermal import Conditions
from traveller.record.thermal import Grid
from traveller.record.thermal_entries import Area
from traveller.record.view import UnitView
from traveller.store.given import instrument_tags
from traveller.store.keeping import Keeping
from traveller.store.picture import PICTURE, PictureFile, need_thermal
from traveller.typed_file import typed_file

LARGEST_BYTES = 25_000_000
"""A picture of 1280 × 960 points as CSV, at seven characters a point, is a third of that."""


@dataclass(frozen=True)
class FileRead:
    """A thermal picture that is not yet kept; its temperatures are already those that will be."""

    name: str
    grid: Grid
    scale: str
    data: bytes


class ThermalCamera:
    """What a workshop does with thermal pictures."""

    def __init__(self, keeping: Keeping) -> None:
        self._keeping = keeping

    @staticmethod
    def read(path: str, scale: float | None = None, offset: float | None = None) -> FileRead:
        """The picture in a file; InputError says what is wrong with it."""
        name, data = typed_file(path, LARGEST_BYTES, PICTURE)
        grid, how = read_grid(name, data, scale, offset)
        kept = packed(grid)
        return FileRead(name, unpacked(kept), how, kept)

    def take(
        self,
        tag: str,
        by: str,
        file: FileRead,
        conditions: Conditions,
        areas: Sequence[Area],
        instruments: Sequence[str] = (),
    ) -> UnitView:
        picture = PictureFile(f"{file.name}.png", file.data)
        deed = TakingThermalPicture(
            picture=picture.enclosed.sha256,
            file=file.name,
            scale=file.scale,
            conditions=conditions,
            areas=tuple(areas),
            instruments=instrument_tags(instruments),
        )
        return self._keeping.do(tag, by, deed, [picture])

    def grid(self, sha256: str) -> Grid:
        """The temperatures of a kept picture."""
        return unpacked(need_thermal(self._keeping.picture(sha256)))
