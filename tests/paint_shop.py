"""A station that a workshop made itself, as text, and the laying of it into the workshop's own folder."""

from __future__ import annotations

from pathlib import Path

from traveller.stationbook import StationBook

STATION = """
[station]
name = "Paint shop"
order = 90
revision = 1
who = ["technician"]
"""

COLOUR = """
[[check]]
key = "colour"
ask = "Which colour?"
kind = "choice"
options = ["grey", "green"]
"""

DRY = """
[[check]]
key = "dry"
ask = "How long did it dry?"
kind = "reading"
unit = "h"
plausible = [0, 999]
limit = { at_least = 12, source = "example" }
"""

WEIGHED = """
[[check]]
key = "weighed"
ask = "Paint used"
kind = "calculation"
judge = "paint.used"
"""

PAINT = """
from pydantic import BaseModel
from traveller.judgement import Finding, Verdict, measured

class Paint(BaseModel):
    mass: float = measured("kg", "mass of the paint")

def used(asked: Paint) -> Finding:
    return Finding(verdict=Verdict.PASS, says="{says}")

def both(asked: Paint, more: int) -> Finding: ...
def bare(asked: Paint, more) -> Finding: ...
def plain(asked: float) -> Finding: ...
def silent(asked: Paint) -> str: ...
"""


def lay(own: Path, text: str | bytes, station: str = "paint_shop") -> None:
    folder = own / station
    folder.mkdir(exist_ok=True)
    (folder / "station.toml").write_bytes(text if isinstance(text, bytes) else text.encode())


def lay_judge(own: Path, text: str, station: str = "paint_shop", topic: str = "paint") -> None:
    (own / station / "__init__.py").touch()
    (own / station / f"{topic}.py").write_text(text)


def keys(stations: StationBook, station: str) -> list[str]:
    sheet = stations.book.sheet(station)
    assert sheet
    return [check.key for check in sheet.checks]


def edition(stations: StationBook, station: str) -> str:
    sheet = stations.book.sheet(station)
    assert sheet
    return sheet.edition
