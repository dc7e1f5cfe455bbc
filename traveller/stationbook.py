"""Finds the station folders, reads and checks their sheets, and loads their judges.

A workshop may lay a folder of its own over the shipped one: a ``station.toml`` there changes the entries of
``[station]`` that it names, replaces the checks whose key it names, appends new ones, and leaves out those
listed in ``[station] drop``. A ``.py`` file there stands in for the shipped file of the same name. The lists of the
component work (which parts are replaced, what parts are called) are laid over table by table.
"""

from __future__ import annotations

import importlib
import inspect
import sys
import tomllib
import typing
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from threading import RLock
from types import ModuleType
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from traveller.book import Book
from traveller.errors import SheetError
from traveller.judgement import Finding
from traveller.record.answering import Judges
from traveller.record.forms import LoadedJudge
from traveller.record.heat_runs.usual import UsualRun
from traveller.record.parts import PartNames
from traveller.record.replacement import Replacement
from traveller.runbook import usual_run
from traveller.sheets import Check, Sheet
from traveller.shipped import load_package, shipped_folder

SHEET = "station.toml"
REPLACEMENT = Path("component_work", "replacement.toml")
PART_NAMES = Path("component_work", "part_names.toml")

Listed = TypeVar("Listed", bound=BaseModel)


@dataclass(frozen=True)
class StationBook:
    """The present sheets with their judges, what is replaced in component work, and what parts are called."""

    book: Book
    judges: Judges
    replacement: Replacement
    part_names: PartNames
    usual_run: UsualRun | None = None


class JudgesWhenAsked(Mapping[str, LoadedJudge]):
    """The judges by public name, each loaded when it is asked for; SheetError then says what is wrong with it."""

    def __init__(self, sheets: Sequence[Sheet], bases: Sequence[Path]) -> None:
        """`bases` hold the station folders; what lies in the first of them stands in for the same file in the next."""
        self._folders = {
            sheet.key: [base / sheet.key for base in bases if (base / sheet.key).is_dir()] for sheet in sheets
        }
        self._checks: dict[str, list[Check]] = {}
        for check in (check for sheet in sheets for check in sheet.checks if check.judge):
            self._checks.setdefault(check.judge_name, []).append(check)
        self._loaded: dict[str, LoadedJudge] = {}
        self._one_at_a_time = RLock()

    def __getitem__(self, name: str) -> LoadedJudge:
        checks = self._checks[name]
        with self._one_at_a_time:
            if name not in self._loaded:
                self._loaded[name] = [_judge_of(check, self._folders[check.station]) for check in checks][-1]
            return self._loaded[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._checks)

    def __len__(self) -> int:
        return len(self._checks)


def load_stations(overlay: Path | None = None, *, judges_later: bool = False) -> StationBook:
    """The shipped stations with the workshop's own folder laid over them; SheetError names every mistake.

    With `judges_later` a mistake in a judge is said when the judge is asked for, or by `all_judges`.
    """
    shipped = shipped_folder("stations")
    stations = _load(shipped, overlay) if overlay else _as_shipped(shipped)
    if not judges_later:
        all_judges(stations)
    return stations


@cache
def _as_shipped(shipped: Path) -> StationBook:
    """What was installed stays as it is while the program runs; a workshop's own folder may not."""
    return _load(shipped, None)


def _load(shipped: Path, overlay: Path | None) -> StationBook:
    names = sorted({path.parent.name for base in (shipped, overlay) if base for path in base.glob(f"*/{SHEET}")})
    sheets = sorted((_sheet(shipped / name, overlay / name if overlay else None) for name in names), key=_order)
    if not sheets:
        raise SheetError(f"There is no {SHEET} under {shipped}: install the program again.")
    try:
        book = Book(sheets=tuple(sheets))
    except ValidationError as error:
        places = " and ".join(str(base) for base in (shipped, overlay) if base)
        raise SheetError("\n".join(f"{places}: {_message(one)}." for one in error.errors())) from None
    bases = [base for base in (shipped, overlay) if base]
    return StationBook(
        book,
        JudgesWhenAsked(sheets, bases[::-1]),
        _list(Replacement, REPLACEMENT, bases),
        _list(PartNames, PART_NAMES, bases),
        usual_run(sheets, shipped, overlay),
    )


def _list(model: type[Listed], name: Path, bases: list[Path]) -> Listed:
    """A list of the component work: a table in the workshop's own file stands in for the entries that it names."""
    paths = [base / name for base in bases if (base / name).is_file()]
    data: dict[str, Any] = {}
    for path in paths:
        for key, value in _read(path).items():
            both = isinstance(value, dict) and isinstance(data.get(key), dict)
            data[key] = {**data[key], **value} if both else value
    try:
        return model.model_validate(data)
    except ValidationError as error:
        where = paths[-1] if paths else bases[0] / name
        raise SheetError("\n".join(_sentence(one, where, []) for one in error.errors())) from None


def _order(sheet: Sheet) -> int:
    return sheet.order


def _sheet(shipped: Path, own: Path | None) -> Sheet:
    layers = [folder / SHEET for folder in (shipped, own) if folder and (folder / SHEET).is_file()]
    data: dict[str, Any] = {"checks": []}
    for path in layers:
        data = _laid_over(data, _read(path), path)
    station = shipped.name
    checks = [{**check, "station": station} for check in data.pop("checks")]
    try:
        return Sheet.model_validate({**data, "key": station, "checks": checks})
    except ValidationError as error:
        raise SheetError("\n".join(_sentence(one, layers[-1], checks) for one in error.errors())) from None


def _read(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except tomllib.TOMLDecodeError as error:
        raise SheetError(f"{path}: this is not TOML ({error}). Mend that line.") from None
    except (OSError, UnicodeDecodeError) as error:
        raise SheetError(f"{path} cannot be read ({error}). Save it as UTF-8 text.") from None
    except (ValueError, RecursionError) as error:
        raise SheetError(f"{path} holds a number or a nesting that is too long ({error}). Shorten it.") from None


def _laid_over(below: dict[str, Any], above: dict[str, Any], path: Path) -> dict[str, Any]:
    unknown = set(above) - {"station", "check"}
    if unknown:
        raise SheetError(f"{path}: [{min(unknown)}] is not known here: a sheet has [station] and [[check]].")
    station, checks = above.get("station", {}), above.get("check", [])
    if not isinstance(station, dict) or not isinstance(checks, list) or not all(isinstance(c, dict) for c in checks):
        raise SheetError(f"{path}: write [station] once and [[check]] for every check.")
    station = dict(station)
    dropped = _dropped(station.pop("drop", []), path)
    _need_single_keys(checks, path)
    if taken := {"key", "checks"} & set(station) or {"station"} & {word for check in checks for word in check}:
        raise SheetError(f"{path}: {min(taken)} is given by the folder: take the line out.")
    own = {check["key"]: check for check in checks}
    kept = [own.get(one["key"], one) for one in below["checks"] if one["key"] not in dropped]
    known = {one["key"] for one in below["checks"]}
    if missing := dropped - known:
        raise SheetError(f"{path}: drop names {', '.join(sorted(missing))}, which the sheet below does not ask.")
    fresh = [check for check in checks if check["key"] not in known]
    head = {key: value for key, value in below.items() if key != "checks"}
    return {**head, **station, "checks": kept + fresh}


def _dropped(drop: Any, path: Path) -> set[str]:
    if not isinstance(drop, list) or not all(isinstance(key, str) for key in drop):
        raise SheetError(f'{path}, [station], drop: list the keys of checks, for example drop = ["transit_photos"].')
    return set(drop)


def _need_single_keys(checks: list[dict[str, Any]], path: Path) -> None:
    for number, check in enumerate(checks, 1):
        key = check.get("key")
        if not isinstance(key, str):
            raise SheetError(f'{path}, check number {number}, key: give it one, for example key = "transit_damage".')
        if any(one.get("key") == key for one in checks[: number - 1]):
            raise SheetError(f"{path}, check {key}, key: it stands twice in this file: give one of them another key.")


def _message(error: Any) -> str:
    return str(error["msg"]).removeprefix("Value error, ")


def _sentence(error: Any, path: Path, checks: list[dict[str, Any]]) -> str:
    """File, check, field, and what to change."""
    place = list(error["loc"])
    where = str(path)
    if len(place) > 1 and place[0] == "checks" and isinstance(place[1], int):
        where += f", check {checks[place[1]]['key']}"
        place = place[2:]
    field = ".".join(str(part) for part in place)
    said = _message(error)
    if error["type"] == "extra_forbidden":
        said = "this word is not known: look for a slip of the pen, or take the line out"
    if error["type"] == "missing":
        said = "this line is missing"
    return f"{where}{f', {field}' if field else ''}: {said}."


def _judge_of(check: Check, folders: list[Path]) -> LoadedJudge:
    topic, _, function = check.judge.partition(".")
    module = _topic(topic, folders, check)
    judge = getattr(module, function, None)
    if not callable(judge):
        raise SheetError(
            f"{module.__file__}: check {check.full_key} names the judge {check.judge}, but there is no "
            f"function {function} in this file."
        )
    return LoadedJudge(check.judge_name, judge, _model(judge, check))


def _topic(topic: str, folders: list[Path], check: Check) -> ModuleType:
    for folder in folders:
        if (folder / f"{topic}.py").is_file():
            package = f"traveller_station_{check.station}_{abs(hash(folder)):x}"
            if (folder / "__init__.py").is_file():
                return _imported(package, folder, topic)
            raise SheetError(f"{folder} needs an empty __init__.py beside {topic}.py.")
    raise SheetError(
        f"{folders[-1] / SHEET}, check {check.key}: the judge {check.judge} needs a file {topic}.py beside it."
    )


def _imported(package: str, folder: Path, topic: str) -> ModuleType:
    """The file of a judge; whatever is wrong in it, down to a slip of the pen, is said in one sentence."""
    try:
        load_package(package, folder)
        return importlib.import_module(f"{package}.{topic}")
    except Exception as error:
        sys.modules.pop(package, None)
        raise SheetError(f"{folder / topic}.py cannot be loaded ({type(error).__name__}: {error}). Mend it.") from error


def _model(judge: Any, check: Check) -> type[BaseModel]:
    try:
        hints = typing.get_type_hints(judge)
        wants = [hints.get(name) for name in inspect.signature(judge).parameters]
    except (NameError, TypeError, ValueError) as error:
        raise SheetError(f"The judge {check.judge} of {check.full_key} has no plain signature ({error}).") from None
    if len(wants) != 1 or not (inspect.isclass(wants[0]) and issubclass(wants[0], BaseModel)):
        raise SheetError(f"The judge {check.judge} of {check.full_key} must take one pydantic model.")
    if hints.get("return") is not Finding:
        raise SheetError(f"The judge {check.judge} of {check.full_key} must return a Finding.")
    model: type[BaseModel] = wants[0]
    if unknown := [name for name in check.fill if name not in model.model_fields]:
        raise SheetError(f"Check {check.full_key}: fill names {', '.join(unknown)}, which its judge does not take.")
    return model


def all_judges(stations: StationBook) -> list[LoadedJudge]:
    """Every judge in order of name, loaded; SheetError says what is wrong with one that cannot be."""
    return [stations.judges[name] for name in sorted(stations.judges)]
