"""Runs of a test: counted, taken back, and taken into the findings."""

from __future__ import annotations

from datetime import date, datetime

from traveller.errors import InputError, Refused
from traveller.record import runs, siblings
from traveller.record.acts.answer import answer
from traveller.record.acts.remark import note
from traveller.record.acts.rights import Proposed, need_may_measure, need_words
from traveller.record.answers import Calculated
from traveller.record.runs_entries import RunsCounted, RunTakenBack
from traveller.record.shop import Person
from traveller.record.view import UnitView

RUNS_MADE, CLEAN_RUNS = "diagnosis.runs_made", "diagnosis.clean_runs"
MOST_RUNS = 100_000


def count_runs(
    view: UnitView,
    person: Person,
    test: str,
    made: int,
    failures: int,
    clean_since: int | None = None,
    first: datetime | None = None,
    last: datetime | None = None,
    source: str = "",
) -> list[Proposed]:
    """Runs of one test. `clean_since` came after the last failure; None: not known, so none did if any failed."""
    need_may_measure(view, person, "count runs")
    if made < 1 or failures < 0 or failures > made:
        raise InputError(f"{failures} of {made} runs cannot have failed: give at least one run, clean or failed.")
    counted = runs.find(view.unit.runs, test)
    already = runs.tally(counted.batches).runs if counted else 0
    if already + made > MOST_RUNS:
        raise InputError(f"A test is counted up to {MOST_RUNS} runs; it has {already}. Give a further test a new name.")
    body = RunsCounted(
        test=need_words(test, "which test it is, for example self-test warm", most=120),
        runs=made,
        failures=failures,
        clean_since=(0 if failures else made) if clean_since is None else min(clean_since, made - failures),
        first=first,
        last=last,
        source=source[:120],
    )
    return [Proposed(body)]


def take_back_run(view: UnitView, person: Person, test: str, failed: bool) -> list[Proposed]:
    """The person's own latest run of this outcome was a slip of the finger."""
    need_may_measure(view, person, "take back a run")
    found = _need_test(view, test)
    own = [one for one in found.batches if one.by == person.tag and runs.has(one, failed)]
    if not own:
        raise Refused(f"You counted no {'failed' if failed else 'clean'} run of {found.name} that could be taken back.")
    return [Proposed(RunTakenBack(test=found.name, counted=own[-1].entry, failed=failed))]


def _need_test(view: UnitView, test: str) -> runs.Test:
    found = runs.find(view.unit.runs, test)
    if found is None:
        listed = ", ".join(one.name for one in view.unit.runs.values()) or "none yet"
        raise Refused(f'No run of "{test}" was counted on this unit; counted is {listed}.')
    return found


def runs_into_findings(view: UnitView, person: Person, test: str, today: date | None = None) -> list[Proposed]:
    """The count as the answers to how many clean runs are needed and how many were made."""
    found = _need_test(view, test)
    seen = runs.outlook(found, siblings.last_work(view.unit.disturbances), view.judges)
    made = seen.to_answer
    if not made.runs:
        raise Refused(f"No run of {found.name} was counted since the repair: count first.")
    rate, sure = repr(seen.rate), repr(runs.CONFIDENCE)
    inputs = {
        CLEAN_RUNS: {"worst_rate": rate, "confidence": sure},
        RUNS_MADE: {
            "failures": str(made.failures),
            "runs": str(made.runs),
            "worst_rate": rate,
            "confidence": sure,
        },
    }
    proposed: list[Proposed] = []
    for key, values in inputs.items():
        check, given = view.book.check(key), Calculated(inputs=values)
        current = view.unit.current(key)
        if check is None or not view.proof.is_asked(check):
            continue
        if key == CLEAN_RUNS and current and current.answer == given:
            continue
        proposed += answer(view, person, key, given, today=today)
    return [*proposed, *note(view, person, f"{found.name}: {seen.says}")]
