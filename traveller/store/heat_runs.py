"""The desk of the heat runs: planning, starting, readings, a logger's samples, stopping, judging, watching."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection

from traveller.errors import Refused
from traveller.record.acts import rig as rig_acts
from traveller.record.acts import run as acts
from traveller.record.acts.deeds.heat_run import SettlingFault, TakingReadings
from traveller.record.acts.rights import Proposed, need_role
from traveller.record.entries import Body
from traveller.record.heat_runs.asked import reform_words
from traveller.record.heat_runs.heat import thinned
from traveller.record.heat_runs.intake import Batch
from traveller.record.heat_runs.plan import Plan, Step
from traveller.record.heat_runs.run import NOTHING, Fresh, Run, latest
from traveller.record.heat_runs.usual import UsualRun, usual_plan
from traveller.record.heat_runs.watch import RunWatch, watch
from traveller.record.rig_entries import LoggerMapped, RigTaken
from traveller.record.rigs import on_rig
from traveller.record.shop import Shop
from traveller.record.view import UnitView
from traveller.store import cards, chunks
from traveller.store.chunks import Packed, packed
from traveller.store.desk import Desk, Scene
from traveller.store.engine import reading, writing
from traveller.store.given import instrument_tags
from traveller.store.keeping import Keeping
from traveller.tags import read_tag

FRESH_POINTS = 6


@dataclass(frozen=True)
class AfterJudging:
    """The unit afterwards, what the run came to, and the checks that it could not answer, with why."""

    view: UnitView
    judgement: acts.Judgement


class HeatRuns:
    def __init__(self, desk: Desk, keeping: Keeping) -> None:
        self._desk = desk
        self._keeping = keeping

    @property
    def usual(self) -> UsualRun:
        return self._desk.house.need_usual()

    # ---- looking ----------------------------------------------------------------------------------------

    def suggested(self, tag: str, overload: Sequence[Step] = ()) -> Plan:
        """The plan that follows from the ratings of a unit, to be changed as it needs."""
        view = self._keeping.unit(tag)
        if view.unit.nameplate is None:
            raise Refused(f"{view.unit.tag} was never booked in: book it in first.")
        return usual_plan(self.usual, view.unit.nameplate, reform_words(view, self.usual), tuple(overload))

    def watch(self, tag: str) -> RunWatch:
        """The latest run of a unit as it stands; while the database is away, with what the logger had sent."""
        view = self._keeping.unit(tag)
        run = _any_run(view)
        fresh = self._desk.look(f"fresh {run.id}", lambda connection: self._fresh(connection, run))
        return self._watched(view, run, fresh)

    def all(self) -> list[RunWatch]:
        """The latest run of every unit that stands where runs are made, the running ones first."""
        with reading(self._desk.engine) as connection:
            tags = [card.tag for card in cards.at_station(connection, self.usual.station)]
            views = [one for tag in tags if (one := self._desk.view(connection, tag)).unit.heat_runs]
            found = [self._watched(one, _any_run(one), self._fresh(connection, _any_run(one))) for one in views]
        order = ("running", "planned", "stopped", "judged")
        return sorted(found, key=lambda one: order.index(one.run.state))

    def _watched(self, view: UnitView, run: Run, fresh: Fresh) -> RunWatch:
        return watch(view, run, self.usual, self._desk.clock(), fresh)

    @staticmethod
    def _fresh(connection: Connection, run: Run) -> Fresh:
        left = chunks.read_open(connection, run.id) if run.state == "running" else None
        if left is None:
            return NOTHING
        batch, heard = left
        points = {
            name: thinned([p for p in zip(batch.times, column, strict=True) if math.isfinite(p[1])], FRESH_POINTS)
            for name, column in zip(batch.names, batch.columns, strict=True)
        }
        return Fresh({name: known for name, known in points.items() if known}, chunks.piece(batch, run.plan), heard)

    def samples(self, tag: str) -> list[Batch]:
        """Every sample of the latest run, chunk by chunk; NotReachable when one is not what its entry says."""
        with reading(self._desk.engine) as connection:
            run = acts.need_run(self._desk.view(connection, self._desk.unit_tag(tag)), "running", "stopped", "judged")
            return [chunks.read(connection, one) for one in run.chunks]

    # ---- planning and starting --------------------------------------------------------------------------

    def plan(self, tag: str, rig: str, by: str, plan: Plan | None = None, begins: datetime | None = None) -> UnitView:
        """Plan a run (without `plan`: the usual one) and keep the rig for it, in one stroke."""
        wanted, which = plan or self.suggested(tag), read_tag(rig).text

        def decide(scene: Scene) -> Sequence[Proposed]:
            now = self._desk.clock()
            body = acts.plan_run(scene.view, scene.person, self.usual, scene.shop, wanted, which)
            start = begins or now
            ends = start + timedelta(minutes=wanted.minutes + self.usual.margin_minutes)
            before = latest(scene.view.unit.heat_runs) if body.run else None
            if before:
                self._enter(scene, by, rig_acts.freed(scene.shop, before.booking, "planned anew"))
            shop = self._desk.shop(scene.connection)
            unit = scene.view.unit.tag
            kept = next((one for one in on_rig(shop.bookings, which, now) if one.unit == unit), None)
            if kept is None:
                wish = rig_acts.book(shop, scene.person, which, unit, start, ends, now, "heat run")
                shop = self._enter(scene, by, wish)
                kept = next(reversed(tuple(shop.bookings.values())))
            return [Proposed(body.model_copy(update={"booking": kept.id}))]

        return self._keeping.shared(tag, by, decide, "Planning a run")

    def start(self, tag: str, by: str, started: datetime | None = None) -> UnitView:
        def decide(scene: Scene) -> Sequence[Proposed]:
            now = self._desk.clock()
            proposed = acts.start(scene.view, scene.person, self.usual, scene.shop, now, started)
            run = acts.need_run(scene.view, "planned")
            if run.booking:
                self._enter(scene, by, [RigTaken(booking=run.booking)])
            return proposed

        return self._keeping.shared(tag, by, decide, "Starting a run")

    def _enter(self, scene: Scene, by: str, bodies: Sequence[Body]) -> Shop:
        """On the record of the shop, in the transaction of the act."""
        return self._desk.enter_for_shop(scene.connection, by, *bodies) if bodies else scene.shop

    # ---- while it runs ----------------------------------------------------------------------------------

    def reading(
        self, tag: str, by: str, values: Mapping[str, float], taken: datetime | None = None, note: str = ""
    ) -> UnitView:
        """Readings by a person; `values` by channel, in its unit."""

        deed = TakingReadings(values=dict(values), taken=taken or self._desk.clock(), note=note)
        return self._keeping.do(tag, by, deed)

    def keep(self, tag: str, by: str, batches: Sequence[Packed], origin: str) -> UnitView:
        """Batches of a logger, each as a chunk; what was open of the run is no longer."""
        return self._keeping.shared(tag, by, lambda scene: self._keep(scene, batches, origin), "The logger")

    def _keep(self, scene: Scene, batches: Sequence[Packed], origin: str) -> list[Proposed]:
        run = acts.need_run(scene.view, "running")
        if any(one.run != run.id for one in batches):
            raise Refused("These samples are of an earlier run, which has ended: begin anew with the present one.")
        known = run.chunks[-1].ends.timestamp() if run.chunks else None
        if known is not None and any(one.begins <= known for one in batches):
            raise Refused("Samples of that time are kept already: does another terminal follow the same logger?")
        made = [chunks.chunk(number, one, origin) for number, one in enumerate(batches, len(run.chunks) + 1)]
        proposed = acts.keep(scene.view, scene.person, self.usual, made)
        for body, one in zip(made, batches, strict=True):
            chunks.keep(scene.connection, body, one.data)
        chunks.drop_open(scene.connection, run.id)
        return proposed

    def keep_open(self, run: Run, batch: Batch) -> None:
        """What came and is not a chunk yet: another follower goes on from there when this one is killed."""
        with writing(self._desk.engine) as connection:
            chunks.keep_open(connection, run.id, batch, self._desk.clock())

    def opened(self, run: Run) -> Batch | None:
        """What another follower of the run had put by when it ended."""
        with reading(self._desk.engine) as connection:
            left = chunks.read_open(connection, run.id)
        return left[0] if left else None

    def remember_logger(self, mapping: LoggerMapped, by: str) -> None:
        """Which column is which channel, by the headings; said once, known from then on."""
        with self._keeping.needing("The logger"), writing(self._desk.engine) as connection:
            shop = self._desk.shop(connection)
            need_role(self._desk.need_person(shop, by), "say which column of a logger is which", *rig_acts.BOOKERS)
            if shop.loggers.get(mapping.headings) != mapping:
                self._desk.enter_for_shop(connection, by, mapping)

    def settle(self, tag: str, by: str, fault: str, how: str) -> UnitView:
        return self._keeping.do(tag, by, SettlingFault(fault=fault, how=how))

    # ---- afterwards -------------------------------------------------------------------------------------

    def stop(self, tag: str, by: str, why: str) -> UnitView:
        """The load is off: what was open is kept, the rig is free."""

        def decide(scene: Scene) -> Sequence[Proposed]:
            proposed = acts.stop(scene.view, scene.person, self.usual, self._desk.clock(), why)
            run = acts.need_run(scene.view, "running")
            left = chunks.read_open(scene.connection, run.id)
            kept = self._keep(scene, [packed(left[0], run.id, run.plan)], "what was open") if left else []
            self._enter(scene, by, rig_acts.freed(scene.shop, run.booking, "run stopped"))
            return [*kept, *proposed]

        return self._keeping.shared(tag, by, decide, "Stopping a run")

    def judge(self, tag: str, by: str, instruments: Sequence[str] = ()) -> AfterJudging:
        """Judge the run, answer the checks that it proves, put down what failed."""
        made, tags = list[acts.Judgement](), instrument_tags(instruments)

        def decide(scene: Scene) -> Sequence[Proposed]:
            used = scene.instruments(tags)
            now = self._desk.clock()
            made.append(acts.judge(scene.view, scene.person, self.usual, now, used, scene.today))
            return made[-1].proposed

        view = self._keeping.shared(tag, by, decide, "Judging a run")
        return AfterJudging(view, made[-1])


def _any_run(view: UnitView) -> Run:
    return acts.need_run(view, "planned", "running", "stopped", "judged")
