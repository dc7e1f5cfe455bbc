"""From the record of a unit to its report."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from traveller.errors import Refused
from traveller.judgement import Verdict
from traveller.record.answers import Calculated, NotApplicable, Pictured, Read, ReadSideBySide, Written, in_words
from traveller.record.carriage_entries import Packed
from traveller.record.cautions import CAUTIONS
from traveller.record.entries import Decided, Nameplate
from traveller.record.evidence import Standing, State
from traveller.record.facts import Evidence, Nonconformity
from traveller.record.heat_runs.curve import curve_of
from traveller.record.photos import all_photos
from traveller.record.report import (
    Concession,
    Deviation,
    Figure,
    Instrument,
    Measurement,
    Method,
    Observation,
    Part,
    People,
    Photo,
    Plate,
    Release,
    Report,
    Warranty,
)
from traveller.record.shifts import zone_of
from traveller.record.shop import Shop
from traveller.record.thermal_entries import ThermalTaken
from traveller.record.view import UnitView
from traveller.record.warranty import warranty_of
from traveller.record.worklist import LineState
from traveller.sheets import Check
from traveller.vocabulary import RATINGS

MEASURED = (Read, ReadSideBySide, Calculated)


def report_of(view: UnitView, shop: Shop, now: datetime) -> Report:
    """The report; a released unit's depends on its record alone, `now` dates a draft. Refused before booking in."""
    plate, booked = view.unit.nameplate, view.unit.booked_at
    if plate is None or booked is None:
        raise Refused(f"{view.unit.tag} was never booked in: there is nothing to report.")
    return _Reporter(view, shop, plate, booked).report(now)


@dataclass(frozen=True)
class _Reporter:
    view: UnitView
    shop: Shop
    plate: Nameplate
    booked: datetime

    def report(self, now: datetime) -> Report:
        unit, view = self.view.unit, self.view
        released = unit.release
        standings = [one for one in view.standings() if one.evidence and one.evidence.answer]
        worked = sorted({self._day(one.evidence.measured) for one in standings if one.evidence})
        worked = worked or [self._day(self.booked)]
        first, last = view.book.first.key, view.book.last.key
        observed = [one for one in standings if not isinstance(_answer(one), (*MEASURED, Pictured, NotApplicable))]
        return Report(
            tag=unit.tag,
            shop=self.shop.name,
            address=self.shop.address,
            customer=self.plate.customer,
            contact=self._contact(),
            order=self.plate.order,
            plate=self._plate(),
            outcome=unit.outcome,
            received=self._day(self.booked),
            worked_from=worked[0],
            worked_to=worked[-1],
            issued=self._day(released.at if released else now),
            fault=self.plate.fault,
            condition=tuple(self._observation(s) for s in observed if s.check.station == first and not _is_tick(s)),
            findings=tuple(self._findings()),
            cause=tuple(self._cause(observed, {first, last})),
            parts=tuple(self._parts()),
            measurements=tuple(self._measurement(s) for s in standings if isinstance(_answer(s), MEASURED)),
            instruments=self._instruments(standings),
            run=curve_of(unit.heat_runs, zone_of(self.shop.zone)),
            thermal=tuple(one.body for one in unit.thermal if isinstance(one.body, ThermalTaken)),
            photos=tuple(self._photos()),
            methods=tuple(self._methods()),
            deviations=tuple(self._deviations(standings)),
            concessions=tuple(self._concession(one) for one in _ended(view, "conceded")),
            people=self._people(),
            cautions=self._cautions(),
            warranty=self._warranty(),
            release=self._release(),
            still_open=0 if released else len(view.reasons),
        )

    def _day(self, moment: datetime) -> date:
        return self.shop.day(moment)

    def _names(self, tags: Iterable[str]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(self.shop.called(tag) for tag in tags if tag))

    def _contact(self) -> tuple[str, ...]:
        """The address without the customer's name, which stands above it."""
        packed = self.view.unit.packed
        lines = packed.body.addressee if packed and isinstance(packed.body, Packed) else ()
        return tuple(line for line in lines if line != self.plate.customer)

    def _plate(self) -> Plate:
        rated = [(name, self.plate.ratings[name]) for name in RATINGS if name in self.plate.ratings]
        return Plate(
            kind=self.plate.unit_kind,
            maker=self.plate.maker,
            model=self.plate.model,
            serial=self.plate.serial,
            ratings=tuple(Figure(name=name, value=value, unit=RATINGS[name].unit) for name, value in rated),
        )

    def _observation(self, standing: Standing) -> Observation:
        evidence = standing.evidence
        assert evidence and evidence.answer
        return Observation(
            ask=standing.check.ask,
            found=in_words(evidence.answer),
            on=self._day(evidence.measured),
            by=self.shop.called(evidence.by),
        )

    def _findings(self) -> Iterator[Observation]:
        """What the search for the fault found: answers that did not pass, also those answered anew since."""
        for check in self.view.proof.asked():
            for one in self.view.unit.answers.get(check.full_key, ()) if check.seeks_fault else ():
                if one.finding and one.finding.verdict is not Verdict.PASS and self._stands(one.entry):
                    yield Observation(
                        ask=check.ask, found=_found(one), on=self._day(one.measured), by=self.shop.called(one.by)
                    )

    def _stands(self, entry: UUID) -> bool:
        return entry not in self.view.unit.corrected

    def _cause(self, observed: list[Standing], outside: set[str]) -> Iterator[Observation]:
        """Why it failed, how it showed, what the customer agreed to, and why it is not repaired if it is not.

        `ask` is the word of the catalogue for each.
        """
        seeking = {one.station for one in self.view.book.checks() if one.seeks_fault} - outside
        for one in observed:
            if one.check.station in seeking and isinstance(_answer(one), Written):
                yield self._observation(one).model_copy(update={"ask": "cause"})
        made = self.view.unit.findings_made
        if made.latest:
            said = {"mode": made.latest.said.mode, "mechanism": made.latest.said.mechanism}
            yield from (self._said(ask, found, made.latest.by, made.latest.at) for ask, found in said.items() if found)
        if made.authority:
            yield self._said("authority", made.authority.in_words(), made.authority.by, made.authority.at)
        decided = [one for one in self.view.entries if isinstance(one.body, Decided)]
        if decided and isinstance(body := decided[-1].body, Decided):
            found = f"{body.reason} ({body.customers_word})" if body.customers_word else body.reason
            yield self._said("decision", found, decided[-1].by, decided[-1].at)

    def _said(self, ask: str, found: str, by: str, at: datetime) -> Observation:
        return Observation(ask=ask, found=found, on=self._day(at), by=self.shop.called(by))

    def _photos(self) -> Iterator[Photo]:
        """Each picture once, however often it was given, with all that it shows."""
        shows: dict[str, dict[str, None]] = {}
        for one in all_photos(self.view.unit):
            check = self.view.book.check(one.of)
            words = (one.caption, check.ask if check else one.of)
            shows.setdefault(one.sha256, {})[": ".join(filter(None, reversed(words)))] = None
        for sha256, captions in shows.items():
            yield Photo(picture=sha256, caption="; ".join(filter(None, captions)))

    def _parts(self) -> Iterator[Part]:
        for line in self.view.unit.work.values():
            if line.state in (LineState.FITTED, LineState.VERIFIED):
                yield Part(
                    place=line.reference,
                    part=line.fitted,
                    lot=line.lot,
                    reason=line.reason,
                    matched_set=line.matched_set,
                    fitted_by=self.shop.called(line.fitted_by),
                    seen_by=self.shop.called(line.verified_by) if line.verified_by else "",
                )

    def _measurement(self, standing: Standing) -> Measurement:
        evidence = standing.evidence
        assert evidence and evidence.answer and evidence.finding
        worked_out = isinstance(evidence.answer, Calculated)
        return Measurement(
            station=self._station(standing.check),
            ask=standing.check.ask,
            value=evidence.finding.says if worked_out else in_words(evidence.answer),
            limit=evidence.finding.limit,
            verdict=evidence.finding.verdict,
            conceded=standing.state is State.CONCEDED,
            working=evidence.finding.working if worked_out else (),
            source=evidence.finding.source,
            on=self._day(evidence.measured),
            instruments=tuple(one.tag for one in evidence.instruments),
        )

    def _station(self, check: Check) -> str:
        sheet = self.view.book.sheet(check.station)
        return sheet.name if sheet else check.station

    def _instruments(self, standings: list[Standing]) -> tuple[Instrument, ...]:
        used = [one for standing in standings if standing.evidence for one in standing.evidence.instruments]
        used += [one for e in self.view.unit.thermal if isinstance(e.body, ThermalTaken) for one in e.body.instruments]
        by_tag = {one.tag: one for one in used}
        return tuple(
            Instrument(
                tag=one.tag,
                name=one.name,
                instrument_class=one.instrument_class,
                calibration_due=one.calibration_due,
            )
            for one in sorted(by_tag.values(), key=lambda one: (one.instrument_class, one.tag))
        )

    def _methods(self) -> Iterator[Method]:
        for sheet in self.view.book.sheets:
            standings = [one for one in self.view.standings(sheet.key) if one.state.counts and one.evidence]
            if standings:
                apply_not = sum(one.state is State.NOT_APPLICABLE for one in standings)
                yield Method(
                    station=sheet.name,
                    edition=self.view.unit.editions.get(sheet.key, sheet.edition),
                    passed=len(standings) - apply_not,
                    not_applicable=apply_not,
                    by=self._names(one.evidence.by for one in standings if one.evidence),
                )

    def _deviations(self, standings: list[Standing]) -> Iterator[Deviation]:
        for one in standings:
            if isinstance(answer := _answer(one), NotApplicable) and one.evidence:
                yield Deviation(what=one.check.ask, why=answer.reason, by=self.shop.called(one.evidence.by))
        for ended in _ended(self.view, "closed"):
            yield Deviation(what=ended.found, why=ended.ended_how, by=self.shop.called(ended.ended_by))

    def _concession(self, one: Nonconformity) -> Concession:
        return Concession(
            found=one.found, why=one.ended_how, customers_word=one.customers_word, by=self.shop.called(one.ended_by)
        )

    def _people(self) -> People:
        unit, proof = self.view.unit, self.view.proof
        independent = (s.evidence.by for s in proof.standings() if s.check.independent and s.evidence)
        seen = (line.verified_by for line in unit.work.values())
        return People(
            worked=self._names(sorted(proof.workers, key=self.shop.called)),
            inspected=self._names(sorted({*independent, *seen}, key=self.shop.called)),
        )

    def _cautions(self) -> tuple[str, ...]:
        plain = tuple(name for name, kinds in CAUTIONS if self.plate.unit_kind in kinds)
        return plain if self.view.unit.outcome == "repair" else ("not_repaired", *plain)

    def _warranty(self) -> Warranty | None:
        """By the same judge that decides when a unit comes back; none for a unit that was not repaired."""
        released = self.view.unit.release
        if released is None or self.view.unit.outcome != "repair":
            return None
        day = self._day(released.at)
        runs = warranty_of(self.view.judges, day)
        if runs is None:
            return None
        return Warranty(until=runs.until, months=runs.months, working=(f"{day} + {runs.months} months = {runs.until}",))

    def _release(self) -> Release | None:
        signed = self.view.unit.release
        if signed is None:
            return None
        return Release(statement=signed.statement, by=self.shop.called(signed.by), at=signed.at, seal=signed.digest)


def _answer(standing: Standing) -> object:
    return standing.evidence.answer if standing.evidence else None


def _is_tick(standing: Standing) -> bool:
    return standing.check.kind.value in ("tick", "scan")


def _found(one: Evidence) -> str:
    assert one.answer and one.finding
    return one.finding.says if isinstance(one.answer, MEASURED) else in_words(one.answer)


def _ended(view: UnitView, state: str) -> Iterator[Nonconformity]:
    return (one for one in view.unit.nonconformities.values() if one.state == state)
