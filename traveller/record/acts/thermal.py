"""Taking a thermal picture: every marked place judged, the worst of them answering the check for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from pydantic import Field

from traveller.errors import InputError
from traveller.judgement import Finding, Verdict
from traveller.record.acts.answer import answer
from traveller.record.acts.rights import Proposed, need_judge, need_open, need_role
from traveller.record.answers import Calculated
from traveller.record.forms import LoadedJudge, build
from traveller.record.shop import Person
from traveller.record.shop_entries import InstrumentUsed
from traveller.record.thermal import Grid, Heat, heat_of, similar_to
from traveller.record.thermal_entries import Area, AreaSeen, ThermalTaken
from traveller.record.view import UnitView
from traveller.sheets import Check
from traveller.vocabulary import Plain, Role

JUDGE = "load_test.hot_spot"
OVER_AMBIENT = "acceptance tests, over ambient"
WORST_FIRST = (Verdict.FAIL, Verdict.UNDECIDED, Verdict.PASS, Verdict.NOT_APPLICABLE)


class Conditions(Plain):
    """In which the picture was taken: °C, and the share of full load current that flowed (1 is full).

    `emissivity` only if the camera was set to 1; `table` is one of the published tables of the judge, empty for
    its first.
    """

    ambient: float = Field(ge=-40, le=100)
    load_fraction: float = Field(ge=0.01, le=3)
    emissivity: float | None = Field(default=None, ge=0.01, le=1)
    reflected: float | None = Field(default=None, ge=-100, le=2000)
    table: str = ""


@dataclass(frozen=True)
class KeptPicture:
    """Where the grid lies in the store, and how it was read."""

    sha256: str
    file: str
    scale: str


def take(
    view: UnitView,
    person: Person,
    kept: KeptPicture,
    grid: Grid,
    conditions: Conditions,
    areas: Sequence[Area],
    instruments: Sequence[InstrumentUsed],
    today: date,
) -> list[Proposed]:
    """The picture with a finding for each area. Where the unit is asked for its hot spot and stands there, the
    worst area answers that check."""
    need_open(view)
    need_role(person, "judge a thermal picture", Role.LOAD_TESTER, Role.TECHNICIAN, Role.INSPECTOR, Role.LEAD)
    judged = judge_areas(view, grid, conditions, areas)
    coldest, hottest = grid.bounds()
    body = ThermalTaken(
        picture=kept.sha256,
        file=kept.file,
        size=(grid.width, grid.height),
        scale=kept.scale,
        coldest=coldest,
        hottest=hottest,
        ambient=conditions.ambient,
        load_fraction=conditions.load_fraction,
        emissivity=conditions.emissivity,
        reflected=conditions.reflected,
        table=conditions.table,
        seen=tuple(seen for seen, _ in judged),
        instruments=tuple(instruments),
    )
    check = asked_here(view)
    if check is None:
        return [Proposed(body)]
    _, inputs = min(judged, key=lambda one: _badness(one[0].finding))
    given = Calculated(inputs={name: f"{value}" for name, value in inputs.items()})
    return [Proposed(body), *answer(view, person, check.full_key, given, instruments, today=today)]


def asked_here(view: UnitView) -> Check | None:
    """The check that a thermal picture answers, if this unit is asked it where it stands."""
    return next((one for one in view.proof.asked(view.unit.station) if one.judge_name == JUDGE), None)


Inputs = dict[str, float | str]


def judge_areas(
    view: UnitView, grid: Grid, conditions: Conditions, areas: Sequence[Area]
) -> list[tuple[AreaSeen, Inputs]]:
    """Each area with its finding and what went into it. InputError when two have one name, or none is marked."""
    if not areas:
        raise InputError("Mark at least one place: the hottest, and the same place on each of its siblings.")
    names = [area.name.casefold() for area in areas]
    if twice := next((area.name for area in areas if names.count(area.name.casefold()) > 1), ""):
        raise InputError(f"Two places are called {twice}: give each a name of its own.")
    judge = need_judge(view, JUDGE)
    heats = [(area, heat_of(grid, area)) for area in areas]
    return [_judged(judge, conditions, area, heat, similar_to(area, heats)) for area, heat in heats]


def _judged(
    judge: LoadedJudge, conditions: Conditions, area: Area, heat: Heat, similar: float | None
) -> tuple[AreaSeen, Inputs]:
    inputs: Inputs = {
        "spot": round(heat.hottest, 2),
        "ambient": conditions.ambient,
        "load_fraction": conditions.load_fraction,
    }
    if similar is not None:
        inputs["similar"] = round(similar, 2)
    given = {"emissivity": conditions.emissivity, "reflected": conditions.reflected}
    inputs |= {name: value for name, value in given.items() if value is not None}
    table = conditions.table or ("" if similar is not None else OVER_AMBIENT)
    inputs |= {"table": table} if table else {}
    finding = judge.finding(build(judge.model, inputs))
    seen = AreaSeen(area=area, hottest=round(heat.hottest, 2), mean=round(heat.mean, 2), at=heat.at, finding=finding)
    return seen, inputs


def _badness(finding: Finding) -> tuple[int, float]:
    """Smaller is worse: first by verdict, then by the rise that was classed."""
    rise = next((one.value for one in finding.values if one.name == "at_full_load_k"), 0.0)
    return WORST_FIRST.index(finding.verdict), -float(rise) if isinstance(rise, int | float) else 0.0
