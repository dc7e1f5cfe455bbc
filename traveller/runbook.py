"""Finds the usual heat run among the station folders: the file ``run.toml`` of the station where it is done."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from pathlib import Path

from pydantic import ValidationError

from traveller.errors import SheetError
from traveller.record.heat_runs.usual import UsualRun
from traveller.sheets import Sheet

USUAL = "run.toml"


def usual_run(sheets: Iterable[Sheet], shipped: Path, overlay: Path | None) -> UsualRun | None:
    """The usual run; a workshop's own ``run.toml`` stands in for the shipped one. SheetError names a mistake."""
    for sheet in sheets:
        for base in (overlay, shipped):
            path = base / sheet.key / USUAL if base else None
            if path and path.is_file():
                return _read(path, sheet.key)
    return None


def _read(path: Path, station: str) -> UsualRun:
    try:
        return UsualRun.model_validate({**tomllib.loads(path.read_text(encoding="utf-8")), "station": station})
    except (tomllib.TOMLDecodeError, OSError, UnicodeDecodeError) as error:
        raise SheetError(f"{path} cannot be read ({error}). Mend that line, save it as UTF-8 text.") from None
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise SheetError(f"{path}, {where}: {first['msg']}.") from None
