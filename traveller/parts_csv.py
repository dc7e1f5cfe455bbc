"""A parts list from a file: bytes -> text -> parts. Everything that is wrong with it is said, and nothing of it used.

Separators are comma, semicolon and tab; the columns are found by their headers. Cells are kept as text, also those
that a spreadsheet would work out.
"""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from pydantic import ValidationError

from traveller.errors import InputError
from traveller.record.parts import FIELDS, NEEDED, PartNames, folded
from traveller.record.parts_entries import MOST_PARTS, Part
from traveller.record.places import expanded

LARGEST_BYTES = 5_000_000
SHOWN_PROBLEMS = 10
SEPARATORS = ",;\t"
NOT_READ = "not read"
_BARRED = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


class HeadersUnknown(InputError):
    """Which column is which has to be said by a person; `headers` are those of the file."""

    def __init__(self, headers: Sequence[str], missing: Sequence[str]) -> None:
        self.headers = tuple(headers)
        names = " and ".join(name.replace("_", " ") for name in missing)
        super().__init__(
            f"No column is known as {names}; the headers are {', '.join(headers)}. "
            f'Say which is which once, by command with --map "{headers[0]}=reference": it is remembered for files with '
            "these headers."
        )


@dataclass(frozen=True)
class ReadParts:
    """The parts of a file; `columns` say by its header what each column is, `encoding` and `unread` what else to
    tell the person."""

    parts: tuple[Part, ...]
    headers: tuple[str, ...]
    columns: Mapping[str, str]
    encoding: str
    unread: tuple[str, ...]


def decoded(data: bytes) -> tuple[str, str]:
    """The text of a file and the name of its encoding; InputError when it is empty, too long, mixed, or no text."""
    if not data.strip(b"\x00 \t\r\n\xef\xbb\xbf\xff\xfe"):
        raise InputError(f"The file holds {'nothing' if not data else 'no text'}: export the parts list again.")
    if len(data) > LARGEST_BYTES:
        raise InputError(f"The file is larger than {LARGEST_BYTES // 1_000_000} MB: is it a parts list?")
    text, encoding = _decoded(data)
    if found := _BARRED.search(text):
        line = text.count("\n", 0, found.start()) + 1
        raise InputError(f"Line {line} holds bytes that are no text: export the parts list as CSV, in UTF-8.")
    return text, encoding


def _decoded(data: bytes) -> tuple[str, str]:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        try:
            return data.decode("utf-16"), "UTF-16"
        except UnicodeDecodeError:
            raise InputError("The file begins as UTF-16 and does not go on so: export it again, in UTF-8.") from None
    try:
        return data.decode("utf-8-sig"), "UTF-8"
    except UnicodeDecodeError:
        _need_one_encoding(data)
    try:
        return data.decode("cp1252"), "Windows-1252"
    except UnicodeDecodeError:
        raise InputError("The file is no text in UTF-8, UTF-16 or Windows-1252: export it again, in UTF-8.") from None


def _need_one_encoding(data: bytes) -> None:
    lines = [(number, line) for number, line in enumerate(data.split(b"\n"), 1) if not line.isascii()]
    fits = {number: _is_utf8(line) for number, line in lines}
    if any(fits.values()):
        odd = next(number for number, fit in fits.items() if not fit)
        even = next(number for number, fit in fits.items() if fit)
        raise InputError(
            f"The file mixes two encodings: line {even} is UTF-8 and line {odd} is not. "
            "Open it in an editor, mend the odd characters, save it as UTF-8."
        )


def _is_utf8(line: bytes) -> bool:
    try:
        line.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def read_parts(
    data: bytes,
    names: PartNames,
    remembered: Mapping[frozenset[str], Mapping[str, str]],
    said: Mapping[str, str] | None = None,
) -> ReadParts:
    """The parts list in `data`.

    `said` maps headers to fields as a person has just done, `remembered` does so by the folded headers of a file.
    Raises HeadersUnknown when no column is the reference or the kind, InputError with the first ten of all
    problems, each with its line.
    """
    text, encoding = decoded(data)
    rows = _rows(text, names)
    headers = next(rows, (0, []))[1]
    key = frozenset(folded(header) for header in headers)
    columns = _columns(headers, names, {**remembered.get(key, {}), **(said or {})})
    found = _Found()
    for line, cells in rows:
        _read_row(found, line, cells, columns, names)
    for reference, lines in found.lines.items():
        if len(lines) > 1:
            where = ", ".join(str(line) for line in lines[:5])
            found.problems.append(
                f"{reference} stands {len(lines)} times (lines {where}): take out what is double; for a second board "
                f"put its name in front, for example A2-{reference}"
            )
    if len(found.parts) > MOST_PARTS:
        found.problems.append(f"{len(found.parts)} parts are too many: the list may have {MOST_PARTS}")
    if not found.parts and not found.problems:
        found.problems.append("there is no part below the headers: export the parts list again")
    if found.problems:
        raise InputError(_in_words(found.problems))
    unread = tuple(header for header, name in zip(headers, columns, strict=True) if not name and header)
    by_header = {folded(header): name for header, name in zip(headers, columns, strict=True) if name}
    return ReadParts(tuple(found.parts), tuple(sorted(key)), by_header, encoding, unread)


@dataclass
class _Found:
    parts: list[Part] = field(default_factory=list)
    lines: dict[str, list[int]] = field(default_factory=dict)
    problems: list[str] = field(default_factory=list)


def _in_words(problems: Sequence[str]) -> str:
    more = len(problems) - SHOWN_PROBLEMS
    head = f"Nothing was taken from the file; {len(problems)} problem{'s' if len(problems) > 1 else ''}:"
    lines = [f"{one}." for one in problems[:SHOWN_PROBLEMS]]
    return "\n".join([head, *lines, *([f"... and {more} more."] if more > 0 else [])])


def _rows(text: str, names: PartNames) -> Iterator[tuple[int, list[str]]]:
    """(line, cells) of every row that holds anything; the first is the row of headers."""
    lines = io.StringIO(text, newline="")
    first = next((line for line in lines if line.strip()), "")
    lines.seek(0)
    reader = csv.reader(lines, delimiter=_separator(first, names), strict=True, skipinitialspace=True)
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield line, [" ".join(cell.split()) for cell in cells]
            line = reader.line_num + 1
    except csv.Error as error:
        raise InputError(
            f"From line {line} on the file cannot be read ({error}): look for a quotation mark without its partner."
        ) from None


def _separator(headers: str, names: PartNames) -> str:
    """The one that gives the most known headers, then the most columns."""

    def worth(separator: str) -> tuple[int, int]:
        cells = next(csv.reader([headers], delimiter=separator, skipinitialspace=True), [])
        return sum(bool(names.column_of(cell)) for cell in cells), len(cells)

    try:
        return max(SEPARATORS, key=worth)
    except csv.Error:
        return ","


def _columns(headers: Sequence[str], names: PartNames, said: Mapping[str, str]) -> list[str]:
    """The field of each column; empty for a column that is not read."""
    meant = {folded(header): name.strip().casefold().replace(" ", "_") for header, name in said.items()}
    if wrong := [name for name in meant.values() if name not in (*FIELDS, folded(NOT_READ), "not_read", "")]:
        raise InputError(f'"{wrong[0]}" is no field of a parts list: the fields are {", ".join(FIELDS)}.')
    if absent := [header for header in said if folded(header) not in {folded(one) for one in headers}]:
        raise InputError(f'The file has no column "{absent[0]}"; its headers are {", ".join(headers)}.')
    spoken_for = set(meant.values())
    columns = []
    for header in headers:
        known = names.column_of(header)
        guessed = "" if known in spoken_for else known
        columns.append({"not_read": ""}.get(name := meant.get(folded(header), guessed), name))
    if twice := [name for name, times in Counter(filter(None, columns)).items() if times > 1]:
        both = [header for header, name in zip(headers, columns, strict=True) if name == twice[0]]
        raise InputError(
            f"{' and '.join(both)} both look like the {twice[0].replace('_', ' ')}: say which it is, "
            f'for example --map "{both[0]}={twice[0]}".'
        )
    if missing := [name for name in NEEDED if name not in columns]:
        raise HeadersUnknown(headers, missing)
    return columns


def _read_row(found: _Found, line: int, cells: Sequence[str], columns: Sequence[str], names: PartNames) -> None:
    if any(cells[len(columns) :]):
        found.problems.append(
            f"line {line} has {len(cells)} cells and there are {len(columns)} headers: a separator inside a cell needs "
            "quotation marks around the cell"
        )
        return
    values = {name: cell for name, cell in zip(columns, cells, strict=False) if name}
    try:
        found.parts.extend(parts := list(_parts(values, names)))
    except InputError as error:
        found.problems.append(f"line {line}: {str(error).removesuffix('.')}")
        return
    for part in parts:
        found.lines.setdefault(part.reference, []).append(line)


def _parts(values: Mapping[str, str], names: PartNames) -> Iterator[Part]:
    """The parts of one row: as many as places are named."""
    words = values.get("kind", "")
    kind = names.kind_of(words)
    if kind is None:
        raise InputError(unknown_kind(words, names))
    references = expanded(values.get("reference", ""))
    drives = expanded(values["drives"]) if values.get("drives") else ()
    plain = {name: text for name, text in values.items() if name not in ("kind", "reference", "drives")}
    try:
        for reference in references:
            yield Part(reference=reference, kind=kind, drives=drives, **plain)
    except ValidationError as error:
        name = str(error.errors()[0]["loc"][0]).replace("_", " ")
        raise InputError(f"{name} is longer than 120 characters: shorten it") from None


def unknown_kind(words: str, names: PartNames) -> str:
    """What to do about a kind that nobody knows."""
    listed = ", ".join(names.kinds)
    return f'"{words[:40]}" is not a kind of part: write {listed}' if words else f"the kind is missing: write {listed}"
