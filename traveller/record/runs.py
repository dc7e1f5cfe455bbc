"""A test that is run over and over: what was counted before and after the repair, and how many clean runs are still
needed before the fault may be called gone.

Work on the unit starts the count after the repair. The rate to beat is the lowest that the fault may have had: the
lower bound of the runs before the repair (one-sided, after Clopper and Pearson), rounded down. When a run fails after
the repair the fault is not gone, and the clean runs count again from nought; the rate to beat is then the lower of
that bound and the bound of the runs up to that failure.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from decimal import ROUND_DOWN, Context, Decimal
from typing import TYPE_CHECKING
from uuid import UUID

from traveller.errors import InputError
from traveller.judgement import Finding
from traveller.record.entries import Entry
from traveller.record.facts import Disturbance
from traveller.record.forms import build
from traveller.record.runs_entries import RunsCounted, RunTakenBack
from traveller.record.siblings import key_of

if TYPE_CHECKING:
    from traveller.record.answering import Judges

BOUND, NEEDED = "diagnosis.intermittent", "diagnosis.runs_needed"
CONFIDENCE = 0.95
UNSEEN_RATE = 0.01  # the rate to beat where the fault never showed, as the judge of the bound has it
LOWEST_RATE = 1e-6


@dataclass(frozen=True)
class Batch:
    """Runs counted in one entry, less what was taken back."""

    entry: UUID
    sequence: int
    runs: int
    failures: int
    clean_since: int
    by: str
    first: datetime
    last: datetime


@dataclass(frozen=True)
class Test:
    """One test by its name, with its counts in order."""

    __test__ = False  # no test of pytest
    name: str
    batches: tuple[Batch, ...] = ()


Runs = Mapping[str, Test]


def with_counted(tests: Runs, entry: Entry, body: RunsCounted) -> Runs:
    known = tests.get(key_of(body.test)) or Test(body.test)
    failures = min(body.failures, body.runs)
    batch = Batch(
        entry=entry.id,
        sequence=entry.sequence,
        runs=body.runs,
        failures=failures,
        clean_since=min(body.clean_since, body.runs - failures) if failures else body.runs,
        by=entry.by,
        first=body.first or entry.at,
        last=body.last or entry.at,
    )
    return {**tests, key_of(body.test): replace(known, batches=(*known.batches, batch))}


def with_taken_back(tests: Runs, body: RunTakenBack) -> Runs:
    """One run less in the count that it names; a run that is not there is not taken."""
    known = tests.get(key_of(body.test))
    if known is None:
        return tests
    batches = tuple(_less(one, body.failed) if one.entry == body.counted else one for one in known.batches)
    return {**tests, key_of(body.test): replace(known, batches=tuple(one for one in batches if one.runs))}


def has(batch: Batch, failed: bool) -> bool:
    """Whether there is a run of this outcome in the count."""
    return batch.failures > 0 if failed else batch.runs > batch.failures


def _less(batch: Batch, failed: bool) -> Batch:
    if not has(batch, failed):
        return batch
    runs, failures = batch.runs - 1, batch.failures - failed
    clean = runs if not failures else max(0, batch.clean_since - (not failed))
    return replace(batch, runs=runs, failures=failures, clean_since=clean)


def find(tests: Runs, name: str) -> Test | None:
    """The test of this name, without regard to case and blanks."""
    return tests.get(key_of(name))


@dataclass(frozen=True)
class Tally:
    """Runs and failures; `clean` of them came after the last failure."""

    runs: int = 0
    failures: int = 0
    clean: int = 0

    @property
    def until_failure(self) -> Tally:
        """The runs up to and with the last that failed."""
        return Tally(self.runs - self.clean, self.failures)


def tally(batches: Sequence[Batch]) -> Tally:
    clean = 0
    for batch in batches:
        clean = batch.clean_since if batch.failures else clean + batch.runs
    return Tally(sum(one.runs for one in batches), sum(one.failures for one in batches), clean)


def before_and_after(test: Test, work: Disturbance | None) -> tuple[Tally, Tally | None]:
    """What was counted before the latest work on the unit, and after it; after is None while there was no work."""
    if work is None:
        return tally(test.batches), None
    split = [one for one in test.batches if one.sequence < work.sequence]
    return tally(split), tally([one for one in test.batches if one.sequence > work.sequence])


@dataclass(frozen=True)
class Outlook:
    """What the counts of a test say. `bound` is the judge's finding on the runs of now (None: there are none),
    `needed` its finding on the clean runs; `still` is how many of those are left to make.
    """

    before: Tally
    after: Tally | None
    rate: float
    bound: Finding | None
    needed: Finding | None
    still: int
    says: str
    sign: str
    working: tuple[str, ...] = ()

    @property
    def now(self) -> Tally:
        return self.before if self.after is None else self.after

    @property
    def to_answer(self) -> Tally:
        """The runs that answer the check: all since the repair; once enough clean ones came after a failure, these."""
        now = self.now
        return Tally(now.clean, 0, now.clean) if self.after and now.failures and not self.still else now


def outlook(test: Test, work: Disturbance | None, judges: Judges) -> Outlook:
    """Weigh the counts by the judges of the bound and of the clean runs. Never raises."""
    before, after = before_and_after(test, work)
    rate, working = _rate_to_beat(before, after, judges)
    now = before if after is None else after
    bound = _judged(judges, BOUND, {"failures": now.failures, "runs": now.runs, "worst_rate": rate})
    needed = _judged(judges, NEEDED, {"worst_rate": rate, "confidence": CONFIDENCE})
    runs = next((int(one.value) for one in needed.values if one.name == "runs"), 0) if needed else 0
    still = max(0, runs - (after.clean if after else 0))
    says, sign = _says(before, after, still, runs, rate, work)
    lines = (*working, *(needed.working if needed else ()))
    return Outlook(before, after, rate, bound, needed, still, says, sign, lines)


def _judged(judges: Judges, name: str, values: Mapping[str, float | str]) -> Finding | None:
    judge = judges.get(name)
    try:
        return judge.finding(build(judge.model, values)) if judge else None
    except InputError:
        return None


def _rate_to_beat(before: Tally, after: Tally | None, judges: Judges) -> tuple[float, tuple[str, ...]]:
    seen = [("before the repair", before)] if after is not None else [("so far", before)]
    seen += [("up to the failure after it", after.until_failure)] if after and after.failures else []
    rates, working = [], []
    for when, counted in seen:
        if lower := _lower(counted, judges):
            rates.append(lower)
            working.append(
                f"{when} {counted.failures} of {counted.runs} runs failed: at least {lower:g} of the runs fail"
                f" (lower bound, one-sided, {CONFIDENCE:g}, rounded down)"
            )
    if rates:
        return min(rates), tuple(working)
    return UNSEEN_RATE, (f"the fault was never seen in a count here: the rate to beat is {UNSEEN_RATE:g}, as stated",)


def _lower(counted: Tally, judges: Judges) -> float:
    if not counted.failures:
        return 0.0
    values: dict[str, float | str] = {
        "failures": counted.failures,
        "runs": counted.runs,
        "sides": "one-sided",
        "confidence": CONFIDENCE,
    }
    finding = _judged(judges, BOUND, values)
    lower = next((one.value for one in finding.values if one.name == "lower"), 0.0) if finding else 0.0
    exact = Decimal(repr(float(lower)))
    return min(max(float(Context(prec=3, rounding=ROUND_DOWN).plus(exact)), LOWEST_RATE), 0.99)


def _says(
    before: Tally, after: Tally | None, still: int, runs: int, rate: float, work: Disturbance | None
) -> tuple[str, str]:
    sure = f"{100 * CONFIDENCE:g} %"
    if after is None:
        if not before.runs:
            return "nothing counted yet", "·"
        if before.failures:
            return f"the fault is there: after the repair {runs} clean runs will be needed", "✗"
        return f"not seen in {before.runs} runs; count on, hot and cold, or count again after the repair", "?"
    shares = f"with {sure} confidence fewer than {100 * rate:g} % of the runs fail"
    done = f" ({work.says})" if work else ""
    if after.failures:
        again = f"not gone: {after.failures} of {after.runs} runs failed after the repair{done}"
        if still:
            return f"{again}. The count starts again: {after.clean} clean, {still} more needed", "✗"
        return f"{again}; {after.clean} clean runs since: {shares}", "✓"
    if still:
        return (
            f"{still} more clean run{'' if still == 1 else 's'} needed: then {shares}, and it may be called gone",
            "?",
        )
    return f"it may be called gone: {after.clean} clean runs since the repair{done}, {shares}", "✓"


def read_runs(text: str) -> list[bool]:
    """One line a run, "ok" or "fail" (1 or 0, pass or fail): whether each failed. InputError names the bad line."""
    read: list[bool] = []
    for number, line in enumerate(text.splitlines(), 1):
        word = line.strip().strip(",;").casefold()
        if not word or word.startswith("#"):
            continue
        if word not in CLEAN | FAILED:
            shown = line.strip()[:40]
            raise InputError(f'Line {number}, "{shown}", is neither: write ok or fail, one run a line (or 1 and 0).')
        read.append(word in FAILED)
    if not read:
        raise InputError("There is no run in that file: write ok or fail, one run a line.")
    return read


CLEAN = {"ok", "1", "pass", "passed", "clean"}
FAILED = {"fail", "0", "failed", "failure", "nok"}


def clean_at_the_end(failed: Sequence[bool]) -> int:
    """How many clean runs stand behind the last that failed."""
    return next((place for place, one in enumerate(reversed(failed)) if one), len(failed))
