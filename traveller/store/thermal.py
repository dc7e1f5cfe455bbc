"""Thermal pictures of a unit: read from a file, kept, judged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from traveller.errors import Refused
from traveller.pictures.grid import packed, read_grid, unpacked
from traveller.record.acts import thermal
from traveller.record.acts.rights import Proposed
from traveller.record.acts.thermal import Conditions, KeptPicture
from traveller.record.thermal import Grid
from traveller.record.thermal_entries import Area
from traveller.record.view import UnitView
from traveller.store.desk import Desk, Scene
from traveller.store.engine import reading
from traveller.store.picture import keep_picture, picture, read_picture


@dataclass(frozen=True)
class FileRead:
    """A thermal picture that is not yet kept; its temperatures are already those that will be."""

    name: str
    grid: Grid
    scale: str
    data: bytes


class ThermalCamera:
    """What a workshop does with thermal pictures."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    @staticmethod
    def read(path: str, scale: float | None = None, offset: float | None = None) -> FileRead:
        """The picture in a file; InputError says what is wrong with it."""
        name, data = read_picture(path.strip().strip("'\""))
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
        def decide(scene: Scene) -> Sequence[Proposed]:
            used = [scene.instrument(one) for one in instruments]
            kept = KeptPicture(keep_picture(scene.connection, f"{file.name}.png", file.data), file.name, file.scale)
            return thermal.take(scene.view, scene.person, kept, file.grid, conditions, areas, used, scene.today)

        return self._desk.act(tag, by, decide)

    def grid(self, sha256: str) -> Grid:
        """The temperatures of a kept picture."""
        with reading(self._desk.engine) as connection:
            found = picture(connection, sha256)
        if found is None:
            raise Refused("The thermal picture is not in the database: was it restored without its pictures?")
        return unpacked(found[1])
