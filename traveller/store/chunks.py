"""The samples of a run as they lie in the database: packed columns, compressed, under their SHA-256.

The bytes are zlib over the times as little-endian float64 (s since 1970), then every channel as float32, in the
order of the entry's channels; NaN where there was no number.
"""

from __future__ import annotations

import hashlib
import json
import sys
import zlib
from array import array
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from uuid import UUID

from sqlalchemy import Connection, delete, insert, select

from traveller.errors import NotReachable
from traveller.record.heat_runs.hold import Piece, summed
from traveller.record.heat_runs.intake import Batch, floats
from traveller.record.heat_runs.plan import Plan
from traveller.record.run_entries import InputFault, SamplesKept, Summary
from traveller.store.digests import wrong_with
from traveller.store.moments import moment, stamp
from traveller.store.tables import open_chunk, sample_chunk
from traveller.store.upserts import upsert

FAST = 1
"""Measured on a day of a logger: the quickest level takes a quarter of the time of the usual one and 2 % more room."""


def pack(batch: Batch) -> bytes:
    import numpy as np

    with np.errstate(over="ignore"):  # too large for a float32 is infinite there, as C has it
        columns = [np.frombuffer(column).astype("<f4").tobytes() for column in batch.columns]
    return zlib.compress(b"".join([np.frombuffer(batch.times).astype("<f8").tobytes(), *columns]), FAST)


def unpack(data: bytes, names: Iterable[str], count: int) -> Batch:
    """What `pack` packed; ValueError when the bytes are not that."""
    plain = zlib.decompress(data)
    batch = Batch(tuple(names))
    if len(plain) != count * (8 + 4 * len(batch.names)):
        raise ValueError("the chunk has another length than its entry says")
    times = array("d", plain[: 8 * count])
    batch.times = _little_endian(times)
    for place in range(len(batch.names)):
        start = 8 * count + 4 * count * place
        batch.columns[place] = floats(_little_endian(array("f", plain[start : start + 4 * count])))
    return batch


def _little_endian(values: array[float]) -> array[float]:
    if sys.byteorder == "big":
        values.byteswap()
    return values


def summary(name: str, column: array[float]) -> Summary:
    import numpy as np

    values = np.frombuffer(column)
    finite = np.isfinite(values)
    known = values if bool(finite.all()) else values[finite]
    if not len(known):
        return Summary(name=name, count=0)
    with np.errstate(over="ignore"):
        mean = float(known.mean())
    least, most, last = float(known.min()), float(known.max()), float(known[-1])
    return Summary(name=name, count=len(known), least=least, mean=mean, most=most, last=last)


def piece(batch: Batch, plan: Plan) -> Piece | None:
    return summed(batch.times, batch.in_band(plan), plan.gap_minutes * 60)


@dataclass(frozen=True)
class Packed:
    """A batch on its way onto the record of its run: what the entry will say of it, and the bytes that it vouches
    for. A tenth of the batch."""

    run: UUID
    begins: float
    ends: float
    count: int
    channels: tuple[Summary, ...]
    piece: Piece
    faults: tuple[InputFault, ...]
    data: bytes


def packed(batch: Batch, run: UUID, plan: Plan) -> Packed:
    """`batch` holds samples."""
    known = piece(batch, plan)
    assert known is not None
    return Packed(
        run=run,
        begins=batch.times[0],
        ends=batch.times[-1],
        count=len(batch.times),
        channels=tuple(summary(name, column) for name, column in zip(batch.names, batch.columns, strict=True)),
        piece=known,
        faults=tuple(batch.faults),
        data=pack(batch),
    )


def chunk(number: int, of: Packed, origin: str) -> SamplesKept:
    """The entry that vouches for a packed batch."""
    return SamplesKept(
        run=of.run,
        number=number,
        begins=datetime.fromtimestamp(of.begins, UTC),
        ends=datetime.fromtimestamp(of.ends, UTC),
        count=of.count,
        sha256=hashlib.sha256(of.data).hexdigest(),
        channels=of.channels,
        piece=of.piece,
        faults=of.faults,
        origin=origin,
    )


def keep(connection: Connection, body: SamplesKept, data: bytes) -> None:
    row = {
        "run": str(body.run),
        "number": body.number,
        "samples": body.count,
        "begins": stamp(body.begins),
        "ends": stamp(body.ends),
        "sha256": body.sha256,
        "bytes": data,
    }
    connection.execute(insert(sample_chunk).values(row))


def read(connection: Connection, body: SamplesKept) -> Batch:
    """The samples of a chunk; NotReachable when they are gone or are not those of the entry."""
    data = kept(connection, body)
    if (wrong := wrong_with(data, body.sha256)) or data is None:
        raise NotReachable(f"Chunk {body.number} of the samples {wrong}. Restore the last backup, write nothing more.")
    return unpack(data, (one.name for one in body.channels), body.count)


def kept(connection: Connection, body: SamplesKept) -> bytes | None:
    """The bytes that an entry vouches for, as they are; None when they are gone."""
    where = (sample_chunk.c.run == str(body.run)) & (sample_chunk.c.number == body.number)
    data = connection.execute(select(sample_chunk.c.bytes).where(where)).scalar()
    return None if data is None else bytes(data)


# ---- the chunk that is still open -----------------------------------------------------------------------


def keep_open(connection: Connection, run: UUID, batch: Batch, heard: datetime) -> None:
    head = {
        "heard": stamp(heard),
        "names": batch.names,
        "faults": [one.model_dump(mode="json") for one in batch.faults],
    }
    row = {"run": str(run), "head": json.dumps(head), "samples": len(batch.times), "bytes": pack(batch)}
    upsert(connection, open_chunk, ["run"], row)


def read_open(connection: Connection, run: UUID) -> tuple[Batch, datetime] | None:
    """The batch, and when the newest of it was heard."""
    row = connection.execute(select(open_chunk).where(open_chunk.c.run == str(run))).first()
    if row is None or not row.samples:
        return None
    head = json.loads(row.head)
    batch = unpack(bytes(row.bytes), head["names"], row.samples)
    batch.faults = [InputFault.model_validate(one) for one in head["faults"]]
    return batch, moment(head["heard"])


def drop_open(connection: Connection, run: UUID) -> None:
    connection.execute(delete(open_chunk).where(open_chunk.c.run == str(run)))
