"""What is drawn and not set: a code, a thermal picture with its marked places, a photo."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.platypus import Flowable

from traveller.documents.letters import BOLD, PLAIN, Letters
from traveller.record.thermal import Grid
from traveller.record.thermal_entries import AreaSeen

QUIET = 4
"""Light modules around a code (ISO/IEC 18004)."""
Modules = Sequence[Sequence[bool]]


class Code(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """A code of dark and light modules, `side` points wide with its quiet zone."""

    def __init__(self, modules: Modules, side: float) -> None:
        super().__init__()
        self.modules, self.width, self.height = modules, side, side

    def draw(self) -> None:
        count = len(self.modules) + 2 * QUIET
        size = self.width / count
        path = self.canv.beginPath()
        for row, line in enumerate(self.modules):
            for place, dark in enumerate(line):
                if dark:
                    path.rect((place + QUIET) * size, self.height - (row + QUIET + 1) * size, size, size)
        self.canv.drawPath(path, stroke=0, fill=1)


class Thermal(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """A grid of temperatures in grey, the darker the hotter, with the marked places and a scale beside it."""

    SCALE = 13 * mm

    def __init__(self, grid: Grid, seen: Sequence[AreaSeen], letters: Letters, width: float, tallest: float) -> None:
        super().__init__()
        self.grid, self.seen, self.letters = grid, seen, letters
        self.point = min((width - self.SCALE) / grid.width, tallest / grid.height)
        self.width, self.height = grid.width * self.point + self.SCALE, grid.height * self.point

    def draw(self) -> None:
        grid, canvas = self.grid, self.canv
        coldest, hottest = grid.bounds()
        image = grey(grid, coldest, hottest)
        wide = grid.width * self.point
        canvas.drawImage(image, 0, 0, wide, self.height)
        canvas.setLineWidth(0.4)
        canvas.rect(0, 0, wide, self.height)
        for one in self.seen:
            self._mark(one)
        self._scale(wide + 2 * mm, coldest, hottest)

    def _mark(self, one: AreaSeen) -> None:
        """The outline, white under black, so that it shows on dark and on light; its name above it."""
        area, canvas, size = one.area, self.canv, self.point
        x, y = area.left * size, self.height - (area.top + area.height) * size
        wide, high = area.width * size, area.height * size
        for ink, width in ((1, 2.0), (0, 0.8)):
            canvas.setStrokeGray(ink)
            canvas.setLineWidth(width)
            if area.shape == "ellipse":
                canvas.ellipse(x, y, x + wide, y + high)
            else:
                canvas.rect(x, y, wide, high)
        text = self.letters(f"{area.name} {one.hottest:.1f}")
        above = y + high + 1.5
        below = above + 6 > self.height
        at = (x, y - 7) if below else (x, above)
        canvas.setFillGray(1)
        canvas.rect(at[0] - 0.8, at[1] - 1.2, canvas.stringWidth(text, BOLD, 6) + 1.6, 7, stroke=0, fill=1)
        canvas.setFillGray(0)
        canvas.setStrokeGray(0)
        canvas.setFont(BOLD, 6)
        canvas.drawString(*at, text)

    def _scale(self, x: float, coldest: float, hottest: float) -> None:
        canvas, steps = self.canv, 32
        for step in range(steps):
            canvas.setFillGray(1 - (step + 0.5) / steps)
            canvas.rect(x, self.height * step / steps, 3 * mm, self.height / steps + 0.2, stroke=0, fill=1)
        canvas.setFillGray(0)
        canvas.setLineWidth(0.4)
        canvas.rect(x, 0, 3 * mm, self.height)
        canvas.setFont(PLAIN, 6)
        canvas.drawString(x + 4 * mm, self.height - 6, f"{hottest:.0f}")
        canvas.drawString(x + 4 * mm, 1, f"{coldest:.0f} °C")


def grey(grid: Grid, coldest: float, hottest: float) -> ImageReader:
    """White where it is coldest or nothing is known, black where it is hottest."""
    span = hottest - coldest or 1.0
    points = bytes(255 if math.isnan(one) else round(255 * (hottest - one) / span) for one in grid.celsius)
    head = f"P5 {grid.width} {grid.height} 255\n".encode()
    return ImageReader(io.BytesIO(head + points))
