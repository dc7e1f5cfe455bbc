"""The entries as they lie in the database: appended under their expected number, chained by digests.

The digest of an entry is SHA-256 over the digest of the entry before it, a line feed and the entry's
canonical JSON, all as UTF-8; the first entry of a subject follows on 64 zeros.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any
from uuid import UUID

from pydantic import ValidationError
from sqlalchemy import Connection, bindparam, func, insert, select
from sqlalchemy.exc import IntegrityError

from traveller.errors import InputError
from traveller.record.canonical import canonical as as_line
from traveller.record.entries import Draft, Entry
from traveller.store.lines import LINE, LINES, Line, lines_of_kinds, read_as
from traveller.store.moments import stamp
from traveller.store.tables import entry as table

BEFORE_THE_FIRST = "0" * 64


class SequenceTaken(Exception):
    """The subject has moved on since it was read: reload, judge again, then write or tell the person."""


@dataclass(frozen=True)
class Break:
    """A line that does not fit; `what` is a sentence. `lost`: it does, but bytes that it vouches for are gone."""

    subject: str
    sequence: int
    what: str
    lost: bool = False


@dataclass(frozen=True)
class Appended:
    """Entries as they are kept, and the digest of the subject's last one."""

    entries: list[Entry]
    digest: str


def canonical(entry: Entry) -> str:
    """The entry as JSON with sorted keys and no blanks; an infinite number is written as a word. `shared` stands
    only in an entry that was kept, so that all others have the form they always had."""
    return as_line(entry, exclude=set() if entry.shared else {"shared"})


# Put together once: they run with every entry, and putting them together takes longer than running them.
_KEPT = LINE.where(table.c.id.in_(bindparam("ids", expanding=True)))
_HEAD = (
    select(table.c.sequence, table.c.digest)
    .where(table.c.subject == bindparam("wanted"))
    .order_by(table.c.sequence.desc())
    .limit(1)
)
_DIGEST = select(table.c.digest).where(table.c.subject == bindparam("wanted"), table.c.sequence == bindparam("number"))
_INSERT = insert(table)
_ANY = select(table.c.id, table.c.payload, table.c.subject, table.c.sequence, table.c.digest)
_LAST = _ANY.where(table.c.subject == bindparam("wanted")).order_by(table.c.sequence.desc()).limit(1).subquery()
_LAST_AND_KEPT = select(_LAST).union_all(_ANY.where(table.c.id.in_(bindparam("ids", expanding=True))))


def chained(previous: str, payload: str) -> str:
    """The digest of an entry from the digest before it and its own canonical JSON."""
    return hashlib.sha256(f"{previous}\n{payload}".encode()).hexdigest()


def read(connection: Connection, subject: str, after: int = 0) -> list[Entry]:
    """The entries of a subject in sequence, from the one behind `after`."""
    rows = connection.execute(LINES, {"wanted": subject, "after": after})
    return [read_as(Entry, row) for row in rows]


def read_kinds(connection: Connection, subject: str, *kinds: str) -> list[Entry]:
    """The entries of these kinds of a subject, in sequence."""
    return lines_of_kinds(connection, subject, Entry, *kinds)


def last_with(connection: Connection, subjects: Sequence[str], kinds: Sequence[str]) -> str:
    """Of these subjects the one with the latest entry of these kinds; empty when none has one."""
    query = (
        select(table.c.subject)
        .where(table.c.subject.in_(subjects), table.c.kind.in_(kinds))
        .order_by(table.c.position.desc())
        .limit(1)
    )
    return str(connection.execute(query).scalar() or "")


def head(connection: Connection, subject: str) -> tuple[int, str]:
    """(sequence, digest) of the last entry of a subject; (0, 64 zeros) when there is none."""
    row = connection.execute(_HEAD, {"wanted": subject}).first()
    return (row.sequence, row.digest) if row else (0, BEFORE_THE_FIRST)


def digest_at(connection: Connection, subject: str, sequence: int) -> str:
    """The digest of one entry of a subject; empty when there is none of that number."""
    return str(connection.execute(_DIGEST, {"wanted": subject, "number": sequence}).scalar() or "")


def read_until(connection: Connection, subject: str, other: str, sequence: int) -> list[Entry]:
    """The entries of a subject that were on the record before entry number `sequence` of `other` was."""
    place = select(table.c.position).where(table.c.subject == other, table.c.sequence == sequence).scalar_subquery()
    earlier = LINE.where(table.c.subject == subject, table.c.position < place).order_by(table.c.sequence)
    return [read_as(Entry, row) for row in connection.execute(earlier)]


def append(
    connection: Connection,
    subject: str,
    expected: int,
    drafts: Sequence[Draft],
    *,
    by: str,
    terminal: str,
    at: datetime,
    shared: datetime | None = None,
) -> Appended:
    """Write the drafts behind entry number `expected`, and return them as they are kept.

    Drafts that are already there, all of them, are returned and not written again. SequenceTaken when the
    subject's last entry is not `expected`; InputError when only some are there, or on another subject.
    """
    rows = connection.execute(_LAST_AND_KEPT, {"wanted": subject, "ids": [str(one.id) for one in drafts]}).all()
    here = [row for row in rows if row.subject == subject]
    last, digest = max(((row.sequence, row.digest) for row in here), default=(0, BEFORE_THE_FIRST))
    if known := _already_kept(rows, subject, [draft.id for draft in drafts]):
        return Appended(known, digest)
    if last != expected:
        raise SequenceTaken(f"{subject} stands at entry {last}, not at {expected}")
    lines = []
    for sequence, draft in enumerate(drafts, expected + 1):
        entry = _placed(draft, subject, sequence, by=by, terminal=terminal, at=at, shared=shared)
        lines.append(_row(entry, digest))
        digest = lines[-1]["digest"]
    if lines:
        _insert(connection, subject, lines)
    return Appended([Entry.model_validate_json(line["payload"]) for line in lines], digest)


def holds(connection: Connection, entry: UUID) -> bool:
    """Whether the entry is on the record."""
    return connection.execute(_KEPT, {"ids": [str(entry)]}).first() is not None


def _already_kept(rows: Sequence[Line], subject: str, ids: list[UUID]) -> list[Entry]:
    kept = {entry.id: entry for entry in (read_as(Entry, row) for row in rows if UUID(row.id) in ids)}
    if kept and (len(kept) < len(ids) or any(entry.subject != subject for entry in kept.values())):
        where = ", ".join(f"{entry.subject} entry {entry.sequence}" for entry in kept.values())
        raise InputError(
            f"A part of this is already on the record ({where}), another part is not: "
            "look at that traveller and write only what is missing."
        )
    return [kept[one] for one in ids] if kept else []


def _placed(
    draft: Draft, subject: str, sequence: int, *, by: str, terminal: str, at: datetime, shared: datetime | None
) -> Entry:
    return Entry(
        id=draft.id,
        subject=subject,
        sequence=sequence,
        at=at.astimezone(UTC),
        by=by,
        terminal=terminal,
        body=draft.body,
        corrects=draft.corrects,
        because=draft.because,
        shared=shared.astimezone(UTC) if shared else None,
    )


def _columns(entry: Entry) -> dict[str, Any]:
    """What the columns beside the payload say of an entry."""
    return {
        "subject": entry.subject,
        "sequence": entry.sequence,
        "id": str(entry.id),
        "kind": entry.body.kind,
        "by_tag": entry.by,
        "terminal": entry.terminal,
        "at": stamp(entry.at),
    }


def _row(entry: Entry, previous: str) -> dict[str, Any]:
    payload = canonical(entry)
    return {
        **_columns(entry),
        "payload": payload,
        "previous": previous,
        "digest": chained(previous, payload),
    }


def _insert(connection: Connection, subject: str, rows: list[dict[str, Any]]) -> None:
    try:
        connection.execute(_INSERT, rows)
    except IntegrityError as error:
        constraint = getattr(getattr(error.orig, "diag", None), "constraint_name", None) or str(error.orig)
        if "entry_subject_sequence" in constraint or "entry.sequence" in constraint:
            raise SequenceTaken(f"{subject} has had an entry {rows[0]['sequence']} meanwhile") from error
        raise


@dataclass(frozen=True)
class KeptLine:
    """An entry as it lies in the database, to be carried to another one without a character changed."""

    payload: str
    previous: str
    digest: str


def lines(connection: Connection, subjects: Sequence[str] = ()) -> Iterator[KeptLine]:
    """Every entry in order of position; of these subjects only if any is named."""
    query = select(table.c.payload, table.c.previous, table.c.digest).order_by(table.c.position)
    chosen = query.where(table.c.subject.in_(subjects)) if subjects else query
    return (KeptLine(row.payload, row.previous, row.digest) for row in connection.execute(chosen))


def put_back(connection: Connection, line: KeptLine) -> Entry:
    """Append a line that was carried here; InputError when it does not follow on its subject's last one."""
    try:
        entry = Entry.model_validate_json(line.payload)
    except ValidationError:
        raise InputError("An entry cannot be read: this version does not know its form. Update the program.") from None
    sequence, digest = head(connection, entry.subject)
    where = f"{entry.subject}, entry {entry.sequence}"
    if entry.sequence != sequence + 1 or line.previous != digest:
        raise InputError(f"{where} does not follow on the entry before it: the file is not whole.")
    if line.digest != chained(line.previous, line.payload):
        raise InputError(f"{where} was changed after it was written: its digest does not fit its content.")
    kept = {"payload": line.payload, "previous": line.previous, "digest": line.digest}
    _insert(connection, entry.subject, [{**_columns(entry), **kept}])
    return entry


_POSITION = select(func.coalesce(func.max(table.c.position), 0))


def position(connection: Connection) -> int:
    """The largest position of the whole record; 0 when it is empty."""
    return int(connection.execute(_POSITION).scalar_one())


def changed_since(connection: Connection, position: int) -> list[tuple[int, str, str]]:
    """(position, subject, kind) of every entry behind `position`, in order of position."""
    rows = connection.execute(
        select(table.c.position, table.c.subject, table.c.kind)
        .where(table.c.position > position)
        .order_by(table.c.position)
    )
    return [(row.position, row.subject, row.kind) for row in rows]


def subjects(connection: Connection) -> list[str]:
    """Every subject that has an entry, in order of name."""
    return list(connection.execute(select(table.c.subject).distinct().order_by(table.c.subject)).scalars())


def verify(connection: Connection, subject: str) -> Break | None:
    """Walk the chain of a subject from its first entry; None when every line fits."""
    rows = connection.execute(
        select(table).where(table.c.subject == subject).order_by(table.c.sequence, table.c.position)
    )
    previous = BEFORE_THE_FIRST
    for number, row in enumerate(rows, 1):
        if row.sequence != number:
            return Break(subject, number, f"Entry {number} is missing; the next one kept is {row.sequence}.")
        if complaint := _complaint(row, previous):
            return Break(subject, number, complaint)
        previous = row.digest
    return None


def _complaint(row: Line, previous: str) -> str:
    if row.previous != previous:
        return f"Entry {row.sequence} does not follow on the entry before it: its previous digest differs."
    if row.digest != chained(previous, row.payload):
        return f"Entry {row.sequence} was changed after it was written: its digest does not fit its content."
    try:
        columns = _columns(Entry.model_validate_json(row.payload))
    except ValidationError:
        return f"Entry {row.sequence} cannot be read: this version does not know its form."
    astray = [name for name, value in columns.items() if row._mapping[name] != value]
    if astray:
        return f"Entry {row.sequence}: the content differs from its columns {', '.join(astray)}."
    return ""
