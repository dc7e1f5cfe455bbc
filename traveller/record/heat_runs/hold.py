"""The hold: continuous time in the band at full load, worked out from the record.

A `Piece` sums up readings in order of time so that pieces can be joined again without the readings: how far
its first stretch in the band reaches, since when its last one does, and the longest one, whole. Joining is
exact: however readings are cut into pieces, the hold comes out the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from traveller.vocabulary import Plain

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_TOLD = 20


class Break(Plain):
    """Where a stretch in the band came to its end (s since 1970): a dip, or no reading for too long."""

    at: float
    why: str


class Piece(Plain):
    """Readings from `begins` to `ends` (s since 1970). `head` is the last moment of the stretch that was in the
    band from the first reading on, `tail` the first moment of the one that is at the last (None: out of it).
    `longest` is the longest whole stretch; `breaks` the first `MOST_TOLD` ends of stretches, `more` the rest.
    """

    begins: float
    ends: float
    head: float | None = None
    tail: float | None = None
    longest: tuple[float, float] | None = None
    breaks: tuple[Break, ...] = ()
    more: int = 0

    @property
    def whole(self) -> bool:
        """In the band from end to end."""
        return self.head is not None and self.head == self.ends and self.tail == self.begins


def single(at: float, in_band: bool) -> Piece:
    """One reading."""
    if not in_band:
        return Piece(begins=at, ends=at)
    return Piece(begins=at, ends=at, head=at, tail=at, longest=(at, at))


def joined(one: Piece, other: Piece, gap: float) -> Piece:
    """Both, one behind the other; more than `gap` seconds between them end a stretch."""
    near = other.begins - one.ends <= gap
    through = near and one.tail is not None and other.head is not None
    head = other.head if one.whole and through else one.head
    tail = one.tail if other.whole and through else other.tail
    across = (one.tail, other.head) if through and one.tail is not None and other.head is not None else None
    longest = max((s for s in (one.longest, across, other.longest) if s), key=_length, default=None)
    ended = [] if one.tail is None or through else [Break(at=one.ends, why="" if near else _gap_words(one, other))]
    if ended and near:
        ended = [Break(at=other.begins, why="out of the band")]
    told = (*one.breaks, *ended, *other.breaks)
    return Piece(
        begins=one.begins,
        ends=other.ends,
        head=head,
        tail=tail,
        longest=longest,
        breaks=told[:MOST_TOLD],
        more=one.more + other.more + max(0, len(told) - MOST_TOLD),
    )


def _length(stretch: tuple[float, float]) -> tuple[float, float]:
    """The longer first, of two alike the earlier."""
    return stretch[1] - stretch[0], -stretch[0]


def _gap_words(one: Piece, other: Piece) -> str:
    return f"no reading for {(other.begins - one.ends) / 60:.3g} min"


def summed(times: Sequence[float], in_band: Sequence[bool] | NDArray[np.bool_], gap: float) -> Piece | None:
    """The readings of one chunk as a piece; None without readings. `times` rise."""
    import numpy as np

    if not len(times):
        return None
    moments, inside = np.array(times, np.float64), np.array(in_band, np.bool_)
    ends = np.flatnonzero((inside[1:] != inside[:-1]) | (np.diff(moments) > gap))
    whole: Piece | None = None
    for begin, end in zip([0, *(ends + 1)], [*ends, len(moments) - 1], strict=True):
        piece = _level(float(moments[begin]), float(moments[end]), bool(inside[begin]))
        whole = piece if whole is None else joined(whole, piece, gap)
    return whole


def _level(begins: float, ends: float, in_band: bool) -> Piece:
    """A run of readings that are all in the band, or all out of it, without a gap."""
    if not in_band:
        return Piece(begins=begins, ends=ends)
    return Piece(begins=begins, ends=ends, head=ends, tail=begins, longest=(begins, ends))


@dataclass(frozen=True)
class Hold:
    """How the hold stands. `started`: since when the present stretch lasts, None when there is none now.

    `held_minutes` is that of the stretch that met it, else of the present one; `will_be_met_at` is known while
    a stretch lasts and the hold is not met; `restarted` says when and why it began again.
    """

    wanted_minutes: float
    started: datetime | None = None
    held_minutes: float = 0.0
    met_at: datetime | None = None
    will_be_met_at: datetime | None = None
    restarted: tuple[tuple[datetime, str], ...] = ()
    untold: int = 0

    @property
    def met(self) -> bool:
        return self.met_at is not None


def moment(at: float) -> datetime:
    return datetime.fromtimestamp(at, UTC)


def together(pieces: Iterable[Piece], gap: float) -> Piece | None:
    """All pieces in order of time; one that begins before the last has ended says nothing new and is left out."""
    whole: Piece | None = None
    for piece in sorted(pieces, key=lambda one: (one.begins, one.ends)):
        if whole is None:
            whole = piece
        elif piece.begins > whole.ends:
            whole = joined(whole, piece, gap)
    return whole


def hold(whole: Piece | None, wanted_minutes: float, gap_minutes: float, now: datetime, ended: bool = False) -> Hold:
    """How the hold stands at `now`. Of a run that has `ended` nothing more is awaited, and no gap grows."""
    if whole is None:
        return Hold(wanted_minutes)
    wanted = wanted_minutes * 60
    told = [(moment(one.at), one.why) for one in whole.breaks]
    silent = now.timestamp() - whole.ends > gap_minutes * 60 and not ended
    if silent and whole.tail is not None:
        told.append((moment(whole.ends), f"no reading for {(now.timestamp() - whole.ends) / 60:.3g} min"))
    tail = None if silent else whole.tail
    begun = None if tail is None else moment(tail)
    restarted, untold = tuple(told), whole.more
    if whole.longest and whole.longest[1] - whole.longest[0] >= wanted:
        since, until = whole.longest
        met = moment(since) + timedelta(seconds=wanted)
        return Hold(wanted_minutes, begun, (until - since) / 60, met, None, restarted, untold)
    held = 0.0 if tail is None else (whole.ends - tail) / 60
    due = moment(tail) + timedelta(seconds=wanted) if tail is not None and not ended else None
    return Hold(wanted_minutes, begun, held, None, due, restarted, untold)
