"""What is measured while a fault is looked for: siblings side by side, signature traces, runs that are counted."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy import Connection

from traveller.curves import named_curve
from traveller.errors import Away
from traveller.record import traces
from traveller.record.acts import traces as tracing
from traveller.record.acts.deeds.measuring import (
    CountingRuns,
    MeasuringSiblings,
    RunsIntoFindings,
    SiblingsIntoFindings,
    TakingBackRun,
    TakingTrace,
)
from traveller.record.sibling_entries import TraceRole, TraceTaken
from traveller.record.view import UnitView
from traveller.store import cards, journal
from traveller.store.desk import Desk
from traveller.store.given import instrument_tags
from traveller.store.keeping import Keeping

MOST_UNITS = 60
"""So many units of the same model are looked through for good traces, the latest first."""


class Measuring:
    """Rows, traces and counts of one unit; each act returns the unit as it is afterwards."""

    def __init__(self, desk: Desk, keeping: Keeping) -> None:
        self._desk = desk
        self._keeping = keeping

    # ---- siblings ---------------------------------------------------------------------------------------

    def siblings(
        self,
        tag: str,
        by: str,
        set_name: str,
        row: str,
        readings: str,
        *,
        devices: Sequence[str] = (),
        unit: str = "",
        tolerance: float | None = None,
        instruments: Sequence[str] = (),
    ) -> UnitView:
        """One row of a set as it was typed, one value a device."""
        deed = MeasuringSiblings(
            set_name=set_name,
            devices=tuple(devices),
            row=row,
            unit=unit,
            readings=readings,
            tolerance=tolerance,
            instruments=instrument_tags(instruments),
        )
        return self._keeping.do(tag, by, deed)

    def siblings_into_findings(self, tag: str, by: str, set_name: str, row: str) -> UnitView:
        return self._keeping.do(tag, by, SiblingsIntoFindings(set_name=set_name, row=row))

    # ---- traces -----------------------------------------------------------------------------------------

    def trace(
        self, tag: str, by: str, node: str, role: TraceRole, path: str, instruments: Sequence[str] = ()
    ) -> UnitView:
        """A trace from the file at `path`."""
        file = named_curve(path)
        deed = TakingTrace(
            node=node,
            role=role,
            points=traces.thinned(file.points),
            taken=len(file.points),
            file=file.name,
            sha256=file.sha256,
            instruments=instrument_tags(instruments),
        )
        return self._keeping.do(tag, by, deed)

    def good_traces(self, tag: str) -> dict[str, list[traces.Trace]]:
        """The good traces of other units of the same maker and model, by node, the latest of each unit; while the
        database is away, those that were seen before."""
        unit = self._desk.unit_tag(tag)
        try:
            return self._desk.look(f"good traces {unit}", lambda c: self._good_elsewhere(c, self._desk.view(c, unit)))
        except Away:
            return {}

    @staticmethod
    def _good_elsewhere(connection: Connection, view: UnitView) -> dict[str, list[traces.Trace]]:
        plate, found = view.unit.nameplate, dict[str, list[traces.Trace]]()
        if plate is None:
            return found
        boards = {plate.serial.casefold()}
        for card in cards.by_model(connection, plate.maker, plate.model, MOST_UNITS):
            if card.serial.casefold() in boards:
                continue  # the same board on an earlier visit is no other sibling
            boards.add(card.serial.casefold())
            for name, node in _traces_of(connection, card.tag).items():
                if node.good:
                    found.setdefault(name, []).append(node.good)
        return found

    def trace_into_findings(self, tag: str, by: str, node: str) -> UnitView:
        name = node.strip().upper()
        return self._keeping.shared(
            tag,
            by,
            lambda s: tracing.trace_into_findings(
                s.view, s.person, name, self._good_elsewhere(s.connection, s.view).get(name, ()), s.today
            ),
            "Comparing with the boards of other units",
        )

    # ---- runs -------------------------------------------------------------------------------------------

    def runs(
        self,
        tag: str,
        by: str,
        test: str,
        made: int,
        failures: int,
        clean_since: int | None = None,
        first: datetime | None = None,
        last: datetime | None = None,
        source: str = "",
    ) -> UnitView:
        """Runs that were made, and how many of them failed."""
        deed = CountingRuns(
            test=test, made=made, failures=failures, clean_since=clean_since, first=first, last=last, source=source
        )
        return self._keeping.do(tag, by, deed)

    def take_back_run(self, tag: str, by: str, test: str, failed: bool) -> UnitView:
        return self._keeping.do(tag, by, TakingBackRun(test=test, failed=failed))

    def runs_into_findings(self, tag: str, by: str, test: str) -> UnitView:
        return self._keeping.do(tag, by, RunsIntoFindings(test=test))


def _traces_of(connection: Connection, tag: str) -> traces.Traces:
    nodes: traces.Traces = {}
    for entry in journal.read_kinds(connection, tag, "trace taken"):
        if isinstance(entry.body, TraceTaken):
            nodes = traces.with_entry(nodes, entry, entry.body)
    return nodes
