"""Until when the warranty on a repair runs, by the judge that goods-in asks when a unit comes back."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from traveller.record.answering import Judges
from traveller.record.forms import LoadedJudge, build

JUDGE = "goods_in.warranty"


@dataclass(frozen=True)
class Runs:
    """The last day, included, and the length in calendar months."""

    until: date
    months: int


def warranty_of(judges: Judges, released_on: date) -> Runs | None:
    """The warranty of a unit released on that day; None where the station folder has no such judge."""
    judge = judges.get(JUDGE)
    return warranty_by(judge, released_on) if judge else None


def warranty_by(judge: LoadedJudge, released_on: date) -> Runs:
    """What the judge of goods-in says of a unit that was released on that day."""
    asked = build(judge.model, {"released_on": released_on, "arrived_on": released_on})
    until = next(str(one.value) for one in judge.finding(asked).values if one.name == "until")
    return Runs(date.fromisoformat(until), int(getattr(asked, "months", 0)))
