"""A grid of temperatures and the places marked in it: how hot, where, compared with what."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

from pydantic import ValidationError

from traveller.errors import InputError
from traveller.record.thermal_entries import Area

_TYPED = re.compile(
    r"^\s*(?P<name>[^=]+?)\s*=\s*(?:(?P<shape>rectangle|ellipse)\s*:\s*)?(?P<numbers>[\d\s,;]+)$", re.IGNORECASE
)


@dataclass(frozen=True)
class Grid:
    """Temperatures in °C, row by row from the left upper corner; NaN where the camera gave none."""

    width: int
    height: int
    celsius: Sequence[float]

    def at(self, column: int, row: int) -> float:
        return self.celsius[row * self.width + column]

    def bounds(self) -> tuple[float, float]:
        """The coldest and the hottest point; InputError when no point has a temperature."""
        known = [one for one in self.celsius if not math.isnan(one)]
        if not known:
            raise InputError("No point of the picture has a temperature: export it from the camera again.")
        return min(known), max(known)


@dataclass(frozen=True)
class Heat:
    """Of one area, in °C; `at` is (column, row) of its hottest point."""

    hottest: float
    mean: float
    at: tuple[int, int]


def points_of(area: Area) -> Iterator[tuple[int, int]]:
    """The (column, row) that lie in the area; of an ellipse those whose middle lies inside it."""
    for row in range(area.top, area.top + area.height):
        for column in range(area.left, area.left + area.width):
            across = (column + 0.5 - area.left) * 2 / area.width - 1
            down = (row + 0.5 - area.top) * 2 / area.height - 1
            if area.shape == "rectangle" or across * across + down * down <= 1:
                yield column, row


def heat_of(grid: Grid, area: Area) -> Heat:
    """How hot the area is; InputError when it reaches out of the picture or holds no temperature."""
    if area.left + area.width > grid.width or area.top + area.height > grid.height:
        raise InputError(
            f"{area.name} reaches out of the picture, which has {grid.width} × {grid.height} points: mark it again."
        )
    known = [(grid.at(*point), point) for point in points_of(area) if not math.isnan(grid.at(*point))]
    if not known:
        raise InputError(f"{area.name}: none of its points has a temperature. Mark it larger or elsewhere.")
    hottest, at = max(known)
    return Heat(hottest, sum(one for one, _ in known) / len(known), at)


def similar_to(area: Area, heats: Sequence[tuple[Area, Heat]]) -> float | None:
    """What the area is compared with, in °C: the median of the hottest points of its siblings; None without any."""
    others = [
        heat.hottest for one, heat in heats if area.siblings and one.siblings == area.siblings and one.name != area.name
    ]
    return median(others) if others else None


def read_area(typed: str, siblings: str = "") -> Area:
    """``Q1=10,20,8,8`` or ``Q1=ellipse:10,20,8,8``: left, top, width and height in points of the picture."""
    found = _TYPED.match(typed)
    numbers = [int(one) for one in re.findall(r"\d{1,6}", found["numbers"])] if found else []
    if not found or len(numbers) != 4:
        raise InputError(
            f'"{typed}" is no area: write NAME=left,top,width,height in points of the picture, '
            "for example Q1=10,20,8,8 or Q1=ellipse:10,20,8,8."
        )
    left, top, width, height = numbers
    try:
        return Area.model_validate(
            {
                "name": found["name"],
                "shape": (found["shape"] or "rectangle").lower(),
                "left": left,
                "top": top,
                "width": width,
                "height": height,
                "siblings": siblings,
            }
        )
    except ValidationError:
        raise InputError(f'"{typed}": an area has a name and is at least one point wide and high.') from None
