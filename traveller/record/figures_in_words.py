"""The figures of the shop as lines for a person: numbers in columns, bars beside them."""

from __future__ import annotations

from collections.abc import Iterator

from traveller.counting import many
from traveller.record.figures import Figures, Share

SHOWN = 12
BAR = 24


def lines(now: Figures) -> Iterator[str]:
    """The figures for a person, with bars."""
    yield f"{many(now.in_work, 'unit')} in work, {now.released} released"
    yield f"came back: {in_words(now.came_back)}; under warranty: {in_words(now.came_back_covered)}"
    yield f"the same fault again: {now.same_fault}"
    if now.days_through is not None:
        yield f"days through the shop at the present pace: {now.days_through:.1f} (units in work / units out a day)"
    yield ""
    yield f"{'station':16}{'here':>5}{'median h':>10}{'mean h':>9}  first pass"
    for one in now.stations:
        times = f"{_hours(one.median_hours):>10}{_hours(one.mean_hours):>9}"
        yield f"{one.station.replace('_', ' '):16}{one.here:>5}{times}  {in_words(one.first_pass)}"
    if now.rolled_yield is not None:
        yield f"rolled through all stations: {now.rolled_yield:.1%}"
    yield ""
    yield "longest in the house:"
    for waiting in now.waiting[:SHOWN]:
        yield f"  {waiting.tag}  {waiting.days:5.1f} d  {waiting.station.replace('_', ' '):15} {waiting.model}"
    yield ""
    yield "parts that had failed, with the share of all so far:"
    most = max((one.count for one in now.parts), default=1)
    for part in now.parts[:SHOWN]:
        bar = "█" * max(1, round(BAR * part.count / most))
        yield f"  {part.count:>3} {bar:{BAR}} {part.so_far:>4.0%}  {part.model}: {part.part}"
    yield ""
    yield "instruments due within 30 days:"
    for due in now.instruments:
        state = f"LATE by {many(-due.days, 'day')}" if due.days < 0 else f"in {many(due.days, 'day')}"
        yield f"  {due.tag}  {due.due}  {state}  {due.name}"


def in_words(share: Share) -> str:
    """``3 of 20, 15.0 % (3.2 to 37.9 %)``: the interval is exact, two-sided, 95 %."""
    if not share.of:
        return "none yet"
    interval = ""
    if share.lower is not None and share.upper is not None:
        interval = f" ({100 * share.lower:.1f} to {100 * share.upper:.1f} %)"
    return f"{share.count} of {share.of}, {100 * share.share:.1f} %{interval}"


def _hours(value: float | None) -> str:
    return "–" if value is None else f"{value:.1f}"
