"""What the sheets of a unit ask of its run: reforming, the checks before full power, the checks that it proves."""

from __future__ import annotations

from traveller.record.heat_runs.heat import Heat, heats
from traveller.record.heat_runs.run import NOTHING, Fresh, Run
from traveller.record.heat_runs.usual import UsualRun
from traveller.record.view import UnitView
from traveller.sheets import Check


def reform_words(view: UnitView, usual: UsualRun) -> str:
    """What goods-in said about reforming; empty when nothing is asked for."""
    check = view.book.check(usual.reform_plan)
    if check is None or not view.proof.is_asked(check):
        return ""
    known = view.unit.current(check.full_key)
    if known is None or known.finding is None:
        return f"not worked out yet: answer “{check.ask}”"
    steps = next((str(one.value) for one in known.finding.values if one.name == "steps"), "")
    return "" if steps == "none" else known.finding.says


def still_open(view: UnitView, usual: UsualRun) -> list[Check]:
    """The checks before full power that do not count yet."""
    named = (view.book.check(key) for key in usual.before_power)
    asked = [one for one in named if one and view.proof.is_asked(one)]
    return [one for one in asked if not view.proof.standing(one).state.counts]


def checks_of(view: UnitView, usual: UsualRun) -> dict[str, Check]:
    """By what a run can prove, the check that asks for it and is asked of this unit."""
    named = {what: view.book.check(key) for what, key in usual.answers.items()}
    return {what: one for what, one in named.items() if one and view.proof.is_asked(one)}


def heat_of(view: UnitView, usual: UsualRun, run: Run, fresh: Fresh = NOTHING) -> list[Heat]:
    """Every temperature of a run by the judge of the check that asks for them."""
    check = view.book.check(usual.answers.get("heat", ""))
    return heats(run, view.judges.get(check.judge_name) if check else None, fresh)
