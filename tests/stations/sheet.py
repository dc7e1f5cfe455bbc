"""Reads one shipped station sheet for the tests of its judges."""

import tomllib
from pathlib import Path

from traveller.sheets import Sheet

STATIONS = Path(__file__).parents[2] / "stations"


def shipped(key: str) -> Sheet:
    data = tomllib.loads((STATIONS / key / "station.toml").read_text(encoding="utf-8"))
    return Sheet.model_validate(
        {**data["station"], "key": key, "checks": [{**c, "station": key} for c in data["check"]]}
    )
