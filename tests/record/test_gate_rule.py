"""The rule of the gate, stated a second time: the gate is open when nothing of this is wrong, and only then.

Written from the trade's own words over the entries, the unit and the sheets, without the code that decides.
"""

from __future__ import annotations

from collections.abc import Iterator

from hypothesis import event, given, settings

from tests.record.any_entries import any_travellers, travellers_that_went_on
from tests.record.shop_floor import TAG, Traveller
from tests.record.three_stations import BOOK
from traveller.judgement import Verdict
from traveller.record.answers import Chosen, NotApplicable
from traveller.record.entries import Answered, BookedIn, Decided, Entry, Noted, Released, SentBack, Withdrawn
from traveller.record.facts import Evidence
from traveller.record.finding_entries import AuthorityGiven, AuthorityRefused, Investigated
from traveller.record.gate import gate
from traveller.record.photo_entries import PhotoTaken
from traveller.record.unit import fold
from traveller.record.work_entries import WorkFitted, WorkRejected
from traveller.sheets import Check

Word = AuthorityGiven | AuthorityRefused


class SecondOpinion:
    """What a careful person finds wrong with a unit by reading its record."""

    def __init__(self, traveller: Traveller) -> None:
        self.unit = fold(TAG, traveller.entries)
        self.known = {entry.id: entry for entry in traveller.entries}
        self.entries = [one for one in traveller.entries if not one.corrects or self.mends(one)]

    def mends(self, entry: Entry) -> bool:
        target = self.known.get(entry.corrects) if entry.corrects else None
        if target is None or target.sequence >= entry.sequence:
            return False
        if isinstance(entry.body, Withdrawn):
            return isinstance(target.body, Answered | Noted | PhotoTaken)
        if isinstance(entry.body, Answered) and isinstance(target.body, Answered):
            return entry.body.check == target.body.check
        return type(entry.body) is type(target.body) and isinstance(entry.body, BookedIn | Noted)

    def asked(self, check: Check) -> bool:
        plate = self.unit.nameplate
        if plate is None or plate.unit_kind not in check.applies_to:
            return False
        if self.unit.outcome != "repair" and not check.also_unrepaired:
            return False
        if check.when is None:
            return True
        governing, given = BOOK.check(check.when.check), self.unit.current(check.when.check)
        brings_up = given and isinstance(given.answer, Chosen) and given.answer.option in check.when.is_in
        return bool(brings_up and governing and self.asked(governing))

    def workers(self) -> set[str]:
        at_work = {sheet.key for sheet in BOOK.sheets if sheet.does_work}
        answers = {one.by for one in self.entries if isinstance(one.body, Answered) and one.body.station in at_work}
        return answers | {one.by for one in self.entries if isinstance(one.body, WorkFitted)}

    def wrong(self) -> Iterator[str]:
        unit = self.unit
        if unit.nameplate is None or any(isinstance(one.body, Released) for one in self.entries):
            yield "not in the workshop"
        if unit.hazards or unit.hold:
            yield "a hazard or a hold"
        if any(not one.reply for one in unit.questions.values()):
            yield "an open question"
        if any(one.state == "open" for one in unit.nonconformities.values()):
            yield "an open nonconformity"
        if unit.outcome == "repair" and not self.agreed():
            yield "nobody agreed to the repair"
        if unit.station != "dispatch":
            yield "not at the last station"
        for line in unit.work.values():
            seen_by_another = line.state == "verified" and line.verified_by != line.fitted_by
            if unit.outcome == "repair" and line.state != "struck" and not seen_by_another:
                yield f"{line.reference} was not seen by somebody else"
        for check in BOOK.checks():
            if self.asked(check):
                yield from self.wrong_with(check)

    def agreed(self) -> bool:
        """Whether the findings that stand may be acted on, read off the entries from the last one back."""
        about = [one.body for one in self.entries if isinstance(one.body, Investigated | Decided | Word)]
        found = [n for n, body in enumerate(about) if isinstance(body, Investigated)]
        words = [n for n, body in enumerate(about) if isinstance(body, Word)]
        if not found:
            return True
        latest = about[found[-1]]
        assert isinstance(latest, Investigated)
        decided = any(isinstance(body, Decided) for body in about[max(found[-1], *words, 0) + 1 :])
        word = about[words[-1]] if words else None
        if latest.advice == "beyond economic repair" or isinstance(word, AuthorityRefused):
            return decided
        cost = float(latest.hours) * float(latest.rate) + float(latest.parts_cost)
        if isinstance(word, AuthorityGiven):
            return word.currency == latest.currency and cost <= float(word.up_to)
        return all(not isinstance(one, Investigated) or one.advice != "wait for authority" for one in about)

    def wrong_with(self, check: Check) -> Iterator[str]:
        evidence = self.unit.current(check.full_key)
        if evidence is None or evidence.finding is None:
            yield from ["not answered"] if check.required else []
            return
        if evidence.finding.verdict in (Verdict.FAIL, Verdict.UNDECIDED) and not self.conceded(evidence):
            yield "did not pass"
        if any(one.calibration_due < evidence.at.date() for one in evidence.instruments):
            yield "read with an instrument out of calibration"
        classes = [one.instrument_class for one in evidence.instruments]
        if check.instrument and check.instrument not in classes and not isinstance(evidence.answer, NotApplicable):
            yield "read with no instrument"
        if check.independent and evidence.by in self.workers():
            yield "answered by who did the work"
        if evidence.asks != check.digest:
            yield "answered to other words"
        if any(self.voids(later, check) for later in self.entries if later.sequence > evidence.stands_at):
            yield "overtaken"

    def conceded(self, evidence: Evidence) -> bool:
        named = [one for one in self.unit.nonconformities.values() if one.covers == evidence.entry]
        return any(one.state == "conceded" for one in named)

    def voids(self, entry: Entry, check: Check) -> bool:
        """Whether this entry, being later, voids an answer of the check, by itself or through what it rests on."""
        sheet = BOOK.sheet(check.station)
        words = set(check.stale_after or (sheet.stale_after if sheet else ()))
        origins = list(check.fill.values())
        rests_on = {word.removeprefix("check:") for word in words if word.startswith("check:")}
        rests_on |= {origin.removeprefix("answer.") for origin in origins if origin.startswith("answer.")}
        bounds = [check.limit.at_least, check.limit.at_most] if check.limit else []
        rated = any(origin.startswith("rating.") for origin in origins) or any(isinstance(b, str) for b in bounds)
        body = entry.body
        if isinstance(body, Withdrawn) and entry.corrects:
            body = self.known[entry.corrects].body
        match body:
            case WorkFitted() | WorkRejected() if "work" in words:
                return True
            case SentBack() if "sent_back" in words:
                return True
            case BookedIn() if rated and self.booked_before(entry):
                return True
            case Answered(check=other) if other in rests_on:
                return True
        below = [BOOK.check(key) for key in rests_on]
        return any(one is not None and self.asked(one) and self.voids(entry, one) for one in below)

    def booked_before(self, entry: Entry) -> bool:
        return any(isinstance(one.body, BookedIn) and one.sequence < entry.sequence for one in self.entries)


@settings(max_examples=250, deadline=None)
@given(travellers_that_went_on())
def test_the_gate_is_open_when_nothing_is_wrong_and_only_then(traveller: Traveller) -> None:
    wrong, reasons = list(SecondOpinion(traveller).wrong()), gate(traveller.view.proof)
    event("open" if not reasons else "shut")
    assert bool(wrong) == bool(reasons), (wrong, reasons)


@settings(max_examples=100, deadline=None)
@given(any_travellers())
def test_nonsense_never_opens_the_gate_past_something_wrong(traveller: Traveller) -> None:
    assert gate(traveller.view.proof) or not list(SecondOpinion(traveller).wrong())


@settings(max_examples=150, deadline=None)
@given(travellers_that_went_on())
def test_after_work_nothing_that_work_voids_counts(traveller: Traveller) -> None:
    """Fitting or rejecting a part, whoever enters it: no older answer that rests on the work is proof."""
    opinion, proof = SecondOpinion(traveller), traveller.view.proof
    works = [one.sequence for one in opinion.entries if isinstance(one.body, WorkFitted | WorkRejected)]
    for standing in proof.standings():
        rests_on_work = any(opinion.voids(one, standing.check) for one in opinion.entries if one.sequence in works)
        if standing.evidence and rests_on_work and standing.evidence.stands_at < max(works):
            assert not standing.state.counts, standing
