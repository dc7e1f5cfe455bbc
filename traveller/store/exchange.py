"""The record as a file that outlives this program, and back into an empty database.

JSON Lines (UTF-8, one JSON object a line), each with the word of its kind in ``line``:

``head``     the form of the file, the version that wrote it, and the unit if it is of one traveller only
``entry``    ``payload``, ``previous``, ``digest``: an entry as it is kept, character by character
``row``      a row of another table: the editions of the checklists, running numbers; bytes as base64
``picture``  name and media type; the bytes lie in a folder beside the file, under their SHA-256
``end``      how many lines of each kind there were, so that a file that was cut off is noticed

Cards are not in it: they are made anew. PINs are not in it either: they are set anew.
"""

from __future__ import annotations

import base64
import hashlib
import json
from collections import Counter
from collections.abc import Iterable, Iterator, Set
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, select

from traveller import __version__
from traveller.counting import many
from traveller.errors import InputError, Refused
from traveller.record.shop_entries import SHOP, InstrumentRegistered
from traveller.store import counters, journal, projection
from traveller.store.desk import Desk
from traveller.store.engine import reading, writing
from traveller.store.journal import KeptLine
from traveller.store.tables import card, metadata, picture, pin, sheet
from traveller.store.tables import entry as entry_table
from traveller.store.upserts import insert_if_missing, upsert
from traveller.tags import looks_like_tag, read_tag

FORM = 1
NOT_AS_ROWS = (entry_table, card, pin, picture)


@dataclass(frozen=True)
class Carried:
    """How much a file holds; `lost` names the pictures that were not found."""

    entries: int
    pictures: int
    lost: tuple[str, ...] = ()


def pictures_beside(file: Path) -> Path:
    """The folder of the pictures of a file: ``shop.jsonl`` has ``shop.pictures``."""
    return file.with_suffix(".pictures")


class Exchange:
    """Carries the record out and in."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk

    def export(self, file: Path, tag: str = "") -> Carried:
        """Write the whole record, or one traveller with the shop's own entries, to `file`."""
        if not file.name:
            raise InputError("The file has no name: give one, such as shop.jsonl.")
        unit = self._desk.unit_tag(tag) if tag else ""
        folder = pictures_beside(file)
        try:
            with reading(self._desk.engine) as connection, file.open("w", encoding="utf-8", newline="\n") as out:
                if unit:
                    self._desk.need_traveller(connection, unit)
                counts: Counter[str] = Counter()
                for line in _lines(connection, unit, folder):
                    counts[str(line["line"])] += 1
                    out.write(json.dumps(line, ensure_ascii=False, sort_keys=True) + "\n")
                out.write(json.dumps({"line": "end", "counts": dict(counts)}, sort_keys=True) + "\n")
        except OSError as error:
            raise InputError(
                f"{error.filename or file} cannot be written ({error.strerror}): name another file."
            ) from None
        return Carried(counts["entry"], counts["picture"])

    def read_in(self, file: Path, allow_lost: bool = False) -> Carried:
        """Read `file` into an empty database, all of it or nothing; every digest is checked on the way."""
        with writing(self._desk.engine) as connection:
            if journal.position(connection):
                raise Refused("This database already has a record: import into an empty one.")
            carried = self._take(connection, file, allow_lost)
            tags = [one for one in journal.subjects(connection) if one != SHOP]
            projection.astray(connection, lambda tag: self._desk.view(connection, tag), repair=True)
            _go_on_counting(connection, tags)
            return carried

    def _take(self, connection: Connection, file: Path, allow_lost: bool) -> Carried:
        counts: Counter[str] = Counter()
        lost: list[str] = []
        ended = False  # nothing stands behind the last line
        for number, line in _read(file):
            counts[kind := str(line.get("line"))] += 1
            ended = False
            try:
                match kind:
                    case "head" if line.get("form") != FORM:
                        raise InputError(
                            f"{file.name} is of form {line.get('form')}, this program reads {FORM}: read it in "
                            "with the version that wrote it."
                        )
                    case "head":
                        pass
                    case "entry":
                        journal.put_back(connection, KeptLine(line["payload"], line["previous"], line["digest"]))
                    case "row":
                        _put_row(connection, line)
                    case "picture":
                        lost += _put_picture(connection, line, pictures_beside(file))
                    case "end":
                        ended = line["counts"] == {name: n for name, n in counts.items() if name != "end"}
                    case _:
                        raise InputError(
                            f'{file.name}, line {number}: a line "{kind}" is not known here: update the program.'
                        )
            except (KeyError, TypeError, ValueError) as error:
                raise InputError(f"{file.name}, line {number} is damaged ({error}): export it again.") from None
        if not ended:
            raise InputError(f"{file.name} is cut off or lines are missing: export it again.")
        if lost and not allow_lost:
            listed, count = ", ".join(lost[:3]), many(len(lost), "picture")
            raise InputError(
                f"{count} not found in {pictures_beside(file)}, or changed ({listed}): lay the folder "
                "beside the file, or import without them."
            )
        return Carried(counts["entry"], counts["picture"] - len(lost), tuple(lost))


def _lines(connection: Connection, unit: str, folder: Path) -> Iterator[dict[str, Any]]:
    yield {"line": "head", "form": FORM, "program": __version__, "unit": unit}
    told = "".join(line.payload for line in journal.lines(connection, [unit])) if unit else ""
    for table in metadata.sorted_tables:
        if table not in NOT_AS_ROWS and (not unit or table is sheet or "run" in table.c):
            for row in connection.execute(select(table)):
                if unit and "run" in table.c and row.run not in told:
                    continue
                yield {"line": "row", "table": table.name, "row": {k: _plain(v) for k, v in row._mapping.items()}}
    named: set[str] = set()
    for line in journal.lines(connection, [unit, SHOP] if unit else []):
        named |= _sha256s(json.loads(line.payload)) if unit else set()
        yield {"line": "entry", "payload": line.payload, "previous": line.previous, "digest": line.digest}
    yield from _pictures(connection, named if unit else None, folder)


def _sha256s(value: Any) -> set[str]:
    """Every text in an entry that may be the SHA-256 of a picture."""
    match value:
        case dict():
            return set().union(*map(_sha256s, value.values())) if value else set()
        case list():
            return set().union(*map(_sha256s, value)) if value else set()
        case str() if len(value) == 64:
            return {value}
    return set()


def _pictures(connection: Connection, named: Set[str] | None, folder: Path) -> Iterator[dict[str, Any]]:
    """Of all pictures, or of those that are named; the bytes go into the folder."""
    for sha256 in connection.execute(select(picture.c.sha256).order_by(picture.c.sha256)).scalars().all():
        if named is not None and sha256 not in named:
            continue
        row = connection.execute(select(picture).where(picture.c.sha256 == sha256)).one()
        folder.mkdir(parents=True, exist_ok=True)
        (folder / sha256).write_bytes(bytes(row.bytes))
        yield {"line": "picture", "sha256": sha256, "name": row.name, "media_type": row.media_type}


def _plain(value: Any) -> Any:
    return {"base64": base64.b64encode(bytes(value)).decode()} if isinstance(value, bytes | memoryview) else value


def _read(file: Path) -> Iterator[tuple[int, dict[str, Any]]]:
    try:
        with file.open(encoding="utf-8") as lines:
            for number, text in enumerate(lines, 1):
                line = json.loads(text)
                if not isinstance(line, dict):
                    raise InputError(f"{file.name}, line {number} is no JSON object: this is not an exported record.")
                yield number, line
    except OSError as error:
        raise InputError(f"{file} cannot be read ({error.strerror}): look at the path.") from None
    except (json.JSONDecodeError, UnicodeDecodeError) as error:
        raise InputError(f"{file.name} is not an exported record, or was damaged ({error}): export it again.") from None


def _put_row(connection: Connection, line: dict[str, Any]) -> None:
    table = metadata.tables.get(line["table"])
    if table is None or table in NOT_AS_ROWS:
        raise InputError(
            f'The file holds a table "{line["table"]}" that this version does not take: update the program.'
        )
    row = {name: base64.b64decode(v["base64"]) if isinstance(v, dict) else v for name, v in line["row"].items()}
    if unknown := set(row) - set(table.c.keys()):
        raise InputError(f"{table.name} has no column {min(unknown)} in this version: update the program.")
    upsert(connection, table, [column.name for column in table.primary_key], row)


def _put_picture(connection: Connection, line: dict[str, Any], folder: Path) -> list[str]:
    """Keep the picture; what is missing or changed is named."""
    sha256 = str(line["sha256"])
    file = folder / Path(sha256).name
    data = file.read_bytes() if file.is_file() else b""
    if hashlib.sha256(data).hexdigest() != sha256:
        return [sha256]
    row = {"sha256": sha256, "name": line["name"], "media_type": line["media_type"], "bytes": data, "size": len(data)}
    insert_if_missing(connection, picture, ["sha256"], row)
    return []


def _go_on_counting(connection: Connection, tags: Iterable[str]) -> None:
    """The next tag of each kind comes after every one that was carried here."""
    bodies = [entry.body for entry in journal.read(connection, SHOP)]
    of_shop = [
        one.instrument.tag if isinstance(one, InstrumentRegistered) else getattr(one, "tag", "") for one in bodies
    ]
    highest: Counter[str] = Counter()
    for tag in map(read_tag, filter(looks_like_tag, (*tags, *of_shop))):
        highest[tag.kind.letter] = max(highest[tag.kind.letter], tag.number)
    for letter, number in highest.items():
        counters.at_least(connection, f"tag {letter}", number)
