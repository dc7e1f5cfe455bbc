"""Which checks a unit has to answer, and whether what was answered still counts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import cached_property

from traveller.book import Book
from traveller.judgement import Verdict
from traveller.record.answers import Answer, Chosen, NotApplicable, Read, Ticked, Written
from traveller.record.facts import Disturbance, Evidence, Hazard
from traveller.record.unit import Unit
from traveller.sheets import Check, When


class State(StrEnum):
    """Where a check stands. Only the first three open the gate."""

    PASSED = "pass"
    NOT_APPLICABLE = "not applicable"
    CONCEDED = "conceded"
    OPEN = "open"
    FAILED = "fail"
    UNDECIDED = "undecided"
    STALE = "stale"
    OUT_OF_CALIBRATION = "out of calibration"
    NO_INSTRUMENT = "no instrument"
    OWN_WORK = "own work"

    @property
    def counts(self) -> bool:
        return self in (State.PASSED, State.NOT_APPLICABLE, State.CONCEDED)

    @property
    def sign(self) -> str:
        return {
            "pass": "✓",
            "not applicable": "–",
            "conceded": "§",
            "open": "·",
            "fail": "✗",
            "undecided": "?",
            "stale": "↻",
        }.get(self.value, "!")


@dataclass(frozen=True)
class Standing:
    check: Check
    state: State
    evidence: Evidence | None = None
    because: str = ""
    since: datetime | None = None


class Proof:
    """The evidence of one unit, weighed against the sheets that it is worked by."""

    def __init__(self, unit: Unit, book: Book) -> None:
        self.unit = unit
        self.book = book
        self._known: dict[str, Standing] = {}
        self._standings: dict[str, list[Standing]] = {}

    @cached_property
    def _latest(self) -> dict[str, Disturbance]:
        return {event: one for one in self.unit.disturbances for event in one.events}

    def happened(self, one: Disturbance) -> str:
        """``K3 fitted``, ``"Weight, packed" answered again``."""
        return f'"{self.book.asked(one.check)}" {one.says}' if one.check else one.says

    def found(self, hazard: Hazard) -> str:
        """What is known of a hazard, with the check that found it: ``Now energised on the rig: yes``."""
        return f"{self.book.asked(hazard.check)}: {hazard.detail}" if hazard.check else hazard.detail

    @cached_property
    def workers(self) -> frozenset[str]:
        """Everybody who did the work: ever fitted a part, or answered at a station that does work."""
        at_work = {sheet.key for sheet in self.book.sheets if sheet.does_work}
        given = (one for history in self.unit.answers.values() for one in history if one.answer)
        return frozenset(self.unit.fitters | {one.by for one in given if one.station in at_work})

    def asked(self, station: str = "") -> Iterator[Check]:
        """The checks that this unit has to answer, in route order; of one station only if named."""
        return (check for check in self._asked if not station or check.station == station)

    @cached_property
    def _asked(self) -> tuple[Check, ...]:
        return tuple(check for check in self.book.checks() if self.is_asked(check))

    def is_asked(self, check: Check) -> bool:
        nameplate = self.unit.nameplate
        if not nameplate or nameplate.unit_kind not in check.applies_to:
            return False
        if self.unit.outcome != "repair" and not check.also_unrepaired:
            return False
        if check.when is None:
            return True
        governing = self.book.check(check.when.check)
        given = self.unit.current(check.when.check)
        return bool(governing and given and self.is_asked(governing) and _meets(check.when, given.answer))

    def standings(self, station: str = "") -> list[Standing]:
        if station not in self._standings:
            self._standings[station] = [self.standing(check) for check in self.asked(station)]
        return self._standings[station].copy()

    def is_settled(self, standing: Standing) -> bool:
        """Whether the check holds nobody up where the unit stands: it counts, or the fault was looked for here."""
        check = standing.check
        looked_for = check.seeks_fault and self.unit.station == check.station
        return standing.state.counts or (looked_for and standing.state in (State.FAILED, State.UNDECIDED))

    def standing(self, check: Check) -> Standing:
        if check.full_key not in self._known:
            self._known[check.full_key] = self._weigh(check)
        return self._known[check.full_key]

    def _weigh(self, check: Check) -> Standing:
        evidence = self.unit.current(check.full_key)
        if evidence is None or evidence.finding is None:
            return Standing(check, State.OPEN)
        because, since = self._stale_because(check, evidence)
        if because:
            return Standing(check, State.STALE, evidence, because, since)
        if out := [one for one in evidence.instruments if one.calibration_due < evidence.day]:
            because = f"{out[0].name} {out[0].tag} was out of calibration since {out[0].calibration_due}"
            return Standing(check, State.OUT_OF_CALIBRATION, evidence, because)
        if isinstance(evidence.answer, NotApplicable):
            return self._own_work(check, evidence) or Standing(
                check, State.NOT_APPLICABLE, evidence, evidence.answer.reason
            )
        if check.instrument and not any(i.instrument_class == check.instrument for i in evidence.instruments):
            return Standing(check, State.NO_INSTRUMENT, evidence, f"no {check.instrument} was named")
        return self._own_work(check, evidence) or self._by_verdict(check, evidence, evidence.finding.verdict)

    def _own_work(self, check: Check, evidence: Evidence) -> Standing | None:
        if check.independent and evidence.by in self.workers:
            return Standing(check, State.OWN_WORK, evidence, "answered by a person who did the work")
        return None

    def _by_verdict(self, check: Check, evidence: Evidence, verdict: Verdict) -> Standing:
        if verdict is Verdict.PASS:
            return Standing(check, State.PASSED, evidence)
        if verdict is Verdict.NOT_APPLICABLE:
            return Standing(check, State.NOT_APPLICABLE, evidence)
        for nonconformity in self.unit.nonconformities.values():
            if nonconformity.state == "conceded" and nonconformity.covers == evidence.entry:
                return Standing(check, State.CONCEDED, evidence, nonconformity.ended_how)
        return Standing(check, State.FAILED if verdict is Verdict.FAIL else State.UNDECIDED, evidence)

    def _stale_because(self, check: Check, evidence: Evidence) -> tuple[str, datetime | None]:
        """Why the evidence no longer counts, and since when; empty words when it does."""
        if evidence.asks != check.digest:
            return "the check has been changed by another edition of the sheet", None
        later = [
            self._latest[event]
            for event in self.book.stale_after(check)
            if event in self._latest and self._latest[event].sequence > evidence.stands_at
        ]
        if later:
            latest = max(later, key=lambda one: one.sequence)
            return f"{self.happened(latest)} after this", latest.at
        for key in self.book.checks_before(check):
            before = self.book.check(key)
            if before and self.is_asked(before) and self.standing(before).state is State.STALE:
                return f'rests on "{before.short}", which is stale', self.standing(before).since
        return "", None


def _meets(when: When, answer: Answer | None) -> bool:
    match answer:
        case Chosen(option=said) | Written(text=said):
            return said in when.is_in
        case Ticked(yes=yes):
            return ("yes" if yes else "no") in when.is_in
        case Read(reading=reading):
            return when.at_least is not None and reading.value >= when.at_least
    return False
