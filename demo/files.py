"""The files that people bring to the terminal: pictures, thermal pictures, parts lists, traces."""

from __future__ import annotations

import math
import random
from pathlib import Path

from traveller.vocabulary import UnitKind

from .boards import PARTS
from .camera import power_stage, write_table
from .pictures import draw_inside

TRACE_VOLTS = tuple(step / 10 for step in range(-20, 21))


class Drawer:
    """A folder; each file is drawn once."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def inside(self, kind: UnitKind) -> Path:
        return self.photo(f"inside-{kind}")

    def photo(self, name: str) -> Path:
        path = self._folder / f"{name}.png"
        return path if path.exists() else draw_inside(self._folder, name)

    def thermal(self, hot: str, extra: float) -> Path:
        """The power stage under load; `hot` is so many K above its siblings."""
        path = self._folder / f"power-stage{f'-{hot}' if hot else ''}.csv"
        if not path.exists():
            write_table(path, power_stage(ambient=24.5, rise=29.0, hot=hot, extra=extra))
        return path

    def parts(self, kind: UnitKind) -> Path:
        path = self._folder / f"parts-{kind}.csv"
        path.write_text(PARTS[kind], encoding="utf-8")
        return path

    def trace(self, name: str, leak: float = 0.0) -> Path:
        """A pin with its two protecting diodes, ±2 V; a leak (S) beside them makes it a suspect."""
        chance, path = random.Random(name), self._folder / f"{name}.csv"
        rows = ["volts,amps"]
        for volts in TRACE_VOLTS:
            through = math.expm1(min(abs(volts), 1.4) / 0.28) * 2.2e-5 * (1 if volts > 0 else -1.3 if volts < 0 else 0)
            rows.append(f"{volts:.2f},{through * chance.uniform(0.985, 1.015) + leak * volts:.6f}")
        path.write_text("\n".join(rows) + "\n", encoding="utf-8")
        return path
