"""Every act of the workshop, as it is called by somebody with one role only.

`ACTS` has the rows of docs/rights.md: the act in words, the call that it is, and how it is called here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from demo.camera import area_of
from tests.small_shop import PIN, PLATE
from tests.store.shop_by_role import NOW, Hands
from tests.store.test_packing import packed
from traveller.record.acts.handover import Wording
from traveller.record.acts.shifts import read_shift
from traveller.record.acts.thermal import Conditions
from traveller.record.heat_runs.intake import Batch, floats
from traveller.record.rig_entries import LoggerMapped
from traveller.record.thermal import read_area
from traveller.store import chunks
from traveller.vocabulary import HazardKind, Role

TODAY = NOW.date()
HOUR = timedelta(hours=1)
FAR = date(2090, 1, 1)
FINDINGS = {"root_cause": "fan stood still", "currency": "EUR", "advice": "repair"}
PLACES = [read_area(area_of(name), "stage") for name in ("Q1", "Q4")]
FULL = Conditions(ambient=26.0, load_fraction=1.0)


@dataclass(frozen=True)
class Act:
    words: str
    call: str
    """Desk and method, as ``workshop.move_on`` or ``parts.add``."""
    do: Callable[[Hands], Any]


def _answered(station: str, check: str, text: str) -> Act:
    return Act(
        f"answer a check of {station.replace('_', ' ')}",
        "workshop.answer",
        lambda h: h.workshop.answer(h.at[station], f"{station}.{check}", text, h.by),
    )


def _moved_on(station: str) -> Act:
    words = f"move a unit on from {station.replace('_', ' ')}"
    return Act(words, "workshop.move_on", lambda h: h.workshop.move_on(h.at[station], h.by))


def _sent_back(station: str) -> Act:
    return Act(
        f"send a unit back from {station.replace('_', ' ')}",
        "workshop.send_back",
        lambda h: h.workshop.send_back(h.at[station], "goods_in", h.by, "a screw is missing"),
    )


def _thermal(where: str, station: str) -> Act:
    def do(h: Hands) -> Any:
        file = h.workshop.thermal.read(h.file("warm.csv"))
        return h.workshop.thermal.take(h.at[station], h.by, file, FULL, PLACES)

    return Act(f"judge a thermal picture {where}", "thermal.take", do)


THE_WAY = (
    Act("book a unit in", "workshop.book_in", lambda h: h.workshop.book_in(h.by, PLATE)),
    _answered("goods_in", "seen", "y"),
    _answered("diagnosis", "link", "4"),
    _answered("component_work", "cleaned", "y"),
    _answered("inspection", "joints", "y"),
    _answered("load_test", "guards", "y"),
    *(_moved_on(one) for one in ("goods_in", "diagnosis", "component_work", "inspection", "load_test")),
    *(_sent_back(one) for one in ("diagnosis", "component_work", "inspection", "load_test")),
    Act(
        "correct a nameplate that somebody else entered",
        "workshop.correct_nameplate",
        lambda h: h.workshop.correct_nameplate(
            h.at["goods_in"], h.by, PLATE.model_copy(update={"serial": "B2"}), "misread"
        ),
    ),
    Act(
        "take back what somebody else entered",
        "workshop.withdraw",
        lambda h: h.workshop.withdraw(h.at["diagnosis"], h.note, h.by, "on the wrong unit"),
    ),
    Act("put a unit on a shelf or rig", "workshop.place", lambda h: h.workshop.place(h.at["diagnosis"], h.rig, h.by)),
    Act(
        "put a unit on hold",
        "workshop.hold",
        lambda h: h.workshop.hold(h.at["diagnosis"], h.by, "waits for a fan", FAR),
    ),
    Act("resume a unit", "workshop.resume", lambda h: h.workshop.resume(h.at["diagnosis"], h.by)),
    Act(
        "decide what becomes of a unit",
        "workshop.decide",
        lambda h: h.workshop.decide(h.at["diagnosis"], h.by, "scrap", "burnt", "by letter"),
    ),
    Act(
        "move a unit to the present sheets",
        "workshop.move_to_present_sheets",
        lambda h: h.workshop.move_to_present_sheets(h.measured, h.by, "one check more"),
    ),
    Act(
        "link a unit to its earlier traveller",
        "returns.link",
        lambda h: h.workshop.returns.link(h.at["goods_in"], h.at["diagnosis"], h.by, "same", "Q3 again"),
    ),
    Act(
        "pack a unit",
        "papers.pack",
        lambda h: h.workshop.papers.pack(h.at["load_test"], h.by, packed(h.at["load_test"])),
    ),
    Act(
        "release a unit",
        "workshop.release",
        lambda h: h.workshop.release(h.at["load_test"], h.by, PIN, "repaired and proved"),
    ),
)

FINDING_OUT = (
    Act(
        "add a photo",
        "photos.take",
        lambda h: h.workshop.photos.take(h.at["diagnosis"], h.by, h.file("photo.png")),
    ),
    Act(
        "measure siblings side by side",
        "measuring.siblings",
        lambda h: h.workshop.measuring.siblings(h.measured, h.by, "power stage", "leakage", "1u 1u 2u", unit="A"),
    ),
    Act(
        "answer with siblings measured",
        "measuring.siblings_into_findings",
        lambda h: h.workshop.measuring.siblings_into_findings(h.measured, h.by, "power stage", "diode C-E"),
    ),
    Act(
        "record a trace",
        "measuring.trace",
        lambda h: h.workshop.measuring.trace(h.measured, h.by, "U7.4", "good", h.file("trace.csv")),
    ),
    Act(
        "answer with a trace",
        "measuring.trace_into_findings",
        lambda h: h.workshop.measuring.trace_into_findings(h.measured, h.by, "U7.3"),
    ),
    Act(
        "count runs of a test",
        "measuring.runs",
        lambda h: h.workshop.measuring.runs(h.measured, h.by, "warm start", 10, 0),
    ),
    Act(
        "take back a counted run",
        "measuring.take_back_run",
        lambda h: h.workshop.measuring.take_back_run(h.measured, h.by, "warm start", failed=False),
    ),
    Act(
        "answer with counted runs",
        "measuring.runs_into_findings",
        lambda h: h.workshop.measuring.runs_into_findings(h.measured, h.by, "warm start"),
    ),
    Act(
        "write findings and the estimate",
        "findings.write",
        lambda h: h.workshop.findings.write(h.at["diagnosis"], h.by, FINDINGS),
    ),
    Act(
        "record that the customer agrees",
        "findings.authority_given",
        lambda h: h.workshop.findings.authority_given(
            h.at["diagnosis"], h.by, "Ms Aalto", "by letter", TODAY, "400", "EUR"
        ),
    ),
    Act(
        "record that the customer refuses",
        "findings.authority_refused",
        lambda h: h.workshop.findings.authority_refused(h.at["diagnosis"], h.by, "Ms Aalto", "by letter", TODAY),
    ),
    Act(
        "count joints and defects",
        "inspection.see",
        lambda h: h.workshop.inspection.see(h.at["inspection"], h.by, "through-hole", "by eye", "120"),
    ),
    _thermal("before the load test", "diagnosis"),
    _thermal("at the load test", "load_test"),
)

WORK = (
    Act(
        "enter a parts list from a file",
        "parts.import_list",
        lambda h: h.workshop.parts.import_list(h.at["inspection"], h.file("parts.csv"), h.by),
    ),
    Act(
        "enter parts by hand",
        "parts.add",
        lambda h: h.workshop.parts.add(h.at["inspection"], "C9", "electrolytic", h.by, value="10u"),
    ),
    Act(
        "take the parts list of an earlier unit",
        "parts.take_from",
        lambda h: h.workshop.parts.take_from(h.at["inspection"], h.at["component_work"], h.by),
    ),
    Act("work the work list out", "parts.work_out", lambda h: h.workshop.parts.work_out(h.at["component_work"], h.by)),
    Act(
        "plan work",
        "workshop.plan_work",
        lambda h: h.workshop.plan_work(h.at["component_work"], h.by, ["K3"], "relay", "failed"),
    ),
    Act("fit a part", "workshop.fit", lambda h: h.workshop.fit(h.at["component_work"], "Q1", h.by, "transistor")),
    Act("verify work", "workshop.verify_work", lambda h: h.workshop.verify_work(h.at["component_work"], "Q3", h.by)),
    Act(
        "reject work",
        "workshop.reject_work",
        lambda h: h.workshop.reject_work(h.at["component_work"], "Q3", h.by, "dull joint"),
    ),
    Act(
        "strike a work line",
        "workshop.strike_work",
        lambda h: h.workshop.strike_work(h.at["component_work"], "Q1", h.by, "measured good"),
    ),
    Act("open a bag", "bags.open", lambda h: h.workshop.bags.open(h.at["component_work"], "U8", "3", h.by)),
    Act("close a bag", "bags.close", lambda h: h.workshop.bags.close(h.at["component_work"], "U7", h.by)),
    Act("bake parts", "bags.bake", lambda h: h.workshop.bags.bake(h.at["component_work"], "U7", "48", h.by)),
)


def _batch(h: Hands) -> chunks.Packed:
    run = h.workshop.heat_runs.watch(h.running).run
    channels = [one.name for one in run.plan.channels]
    times = [(NOW - timedelta(seconds=left)).timestamp() for left in (20, 10)]
    batch = Batch(tuple(channels), floats(times), [floats([1.0, 1.0]) for _ in channels])
    return chunks.packed(batch, run.id, run.plan)


def _stopped(h: Hands) -> None:
    h.workshop.heat_runs.stop(h.running, h.lead, "the hold is met")


def _judge(h: Hands) -> Any:
    _stopped(h)
    return h.workshop.heat_runs.judge(h.running, h.by)


HEADINGS = ("Time", "A")
HEAT_RUNS = (
    Act(
        "plan a heat run",
        "heat_runs.plan",
        lambda h: h.workshop.heat_runs.plan(h.at["load_test"], h.rig, h.by),
    ),
    Act("start a heat run", "heat_runs.start", lambda h: h.workshop.heat_runs.start(h.planned, h.by)),
    Act(
        "enter readings of a run",
        "heat_runs.reading",
        lambda h: h.workshop.heat_runs.reading(h.running, h.by, {_batch(h).channels[0].name: 1.0}),
    ),
    Act(
        "keep the samples of a logger",
        "heat_runs.keep",
        lambda h: h.workshop.heat_runs.keep(h.running, h.by, [_batch(h)], "logger.csv"),
    ),
    Act(
        "say which column of a logger is which",
        "heat_runs.remember_logger",
        lambda h: h.workshop.heat_runs.remember_logger(
            LoggerMapped(headings=HEADINGS, time="Time", channels={"current": "A"}), h.by
        ),
    ),
    Act(
        "settle a fault of the input",
        "heat_runs.settle",
        lambda h: h.workshop.heat_runs.settle(h.running, h.by, "gap", "the cable was loose"),
    ),
    Act("stop a heat run", "heat_runs.stop", lambda h: h.workshop.heat_runs.stop(h.running, h.by, "the hold is met")),
    Act("judge a heat run", "heat_runs.judge", _judge),
    Act(
        "book a rig",
        "rigs.book",
        lambda h: h.workshop.rigs.book(h.rig, h.at["load_test"], NOW, NOW + HOUR, h.by),
    ),
    Act(
        "free a rig",
        "rigs.free",
        lambda h: h.workshop.rigs.free(h.warm_rig, h.at["load_test"], h.by),
    ),
    Act(
        "take a rig out of use",
        "rigs.out_of_use",
        lambda h: h.workshop.rigs.out_of_use(h.rig, h.by, "the fan is noisy"),
    ),
)


def _own_note_ended(h: Hands) -> Any:
    before = set(h.workshop.shop().notices.notes)
    mine = set(h.workshop.notices.note(h.by, "the floor is wet").notices.notes) - before
    return h.workshop.notices.end(h.by, mine.pop(), "it is dry")


def _own_question(h: Hands) -> Any:
    h.workshop.handovers.ask(h.by, h.quiet_item, "since when?")
    return h.workshop.handovers.reply(h.by, h.quiet_item, "since noon")


def _anothers_question(h: Hands) -> Any:
    h.workshop.handovers.ask(h.newcomer, h.quiet_item, "since when?")
    return h.workshop.handovers.reply(h.by, h.quiet_item, "since noon")


SAYING = (
    Act("write a note on a unit", "workshop.note", lambda h: h.workshop.note(h.at["diagnosis"], h.by, "smells of oil")),
    Act(
        "say that a note on a unit was seen",
        "notices.seen_on",
        lambda h: h.workshop.notices.seen_on(h.at["diagnosis"], h.by, h.note),
    ),
    Act("ask a question on a unit", "workshop.ask", lambda h: h.workshop.ask(h.at["diagnosis"], h.by, "fan too?")),
    Act(
        "reply to a question on a unit",
        "workshop.reply",
        lambda h: h.workshop.reply(h.at["diagnosis"], h.question, h.by, "yes"),
    ),
    Act(
        "raise a hazard",
        "workshop.raise_hazard",
        lambda h: h.workshop.raise_hazard(h.at["diagnosis"], HazardKind.BATTERY, h.by, "lithium cell inside"),
    ),
    Act(
        "clear a hazard by signature",
        "workshop.clear_hazard",
        lambda h: h.workshop.clear_hazard(h.at["diagnosis"], HazardKind.HOT, h.by, "cold to the hand"),
    ),
    Act(
        "raise a nonconformity",
        "workshop.raise_nonconformity",
        lambda h: h.workshop.raise_nonconformity(h.at["diagnosis"], h.by, "a screw is missing"),
    ),
    Act(
        "close a nonconformity",
        "workshop.close_nonconformity",
        lambda h: h.workshop.close_nonconformity(h.at["diagnosis"], h.wrong, h.by, "lid replaced"),
    ),
    Act(
        "grant a concession",
        "workshop.concede",
        lambda h: h.workshop.concede(h.at["diagnosis"], h.wrong, h.by, "only looks", "by letter"),
    ),
    Act("write a note to the shop", "notices.note", lambda h: h.workshop.notices.note(h.by, "the lift is back")),
    Act("say that a note to the shop was seen", "notices.seen", lambda h: h.workshop.notices.seen(h.by, h.shop_note)),
    Act("end an own note to the shop", "notices.end", _own_note_ended),
    Act(
        "end a note to the shop that somebody else wrote",
        "notices.end",
        lambda h: h.workshop.notices.end(h.by, h.shop_note, "it is mended"),
    ),
    Act("ask the shop a question", "notices.ask", lambda h: h.workshop.notices.ask(h.by, "who has the key?")),
    Act(
        "reply to a question to the shop",
        "notices.reply",
        lambda h: h.workshop.notices.reply(h.by, h.shop_question, "it lies at bench 2"),
    ),
)

HANDING_OVER = (
    Act("see what would be handed over", "handovers.proposal", lambda h: h.workshop.handovers.proposal(h.by)),
    Act(
        "hand over a whole shift",
        "handovers.prepare",
        lambda h: h.workshop.handovers.prepare(h.by, Wording(words="quiet", as_well=True, receiver=h.newcomer)),
    ),
    Act(
        "hand over a bench",
        "handovers.prepare",
        lambda h: h.workshop.handovers.prepare(h.by, Wording(station="inspection", words="quiet", receiver=h.newcomer)),
    ),
    Act(
        "accept an item",
        "handovers.accept",
        lambda h: h.workshop.handovers.accept(h.by, [h.quiet_item]),
    ),
    Act(
        "accept an item that is live",
        "handovers.accept",
        lambda h: h.workshop.handovers.accept(h.by, [h.live_item]),
    ),
    Act("ask about an item", "handovers.ask", lambda h: h.workshop.handovers.ask(h.by, h.quiet_item, "since when?")),
    Act("answer somebody else's question about an item", "handovers.reply", _anothers_question),
    Act("answer an own question about an item", "handovers.reply", _own_question),
)

REGISTER = (
    Act("name the shop", "registry.name_shop", lambda h: h.workshop.registry.name_shop("Mill Lane", "UTC", h.by)),
    Act(
        "enrol a person",
        "registry.enrol",
        lambda h: h.workshop.registry.enrol("Ruben Aalto", [Role.QUALITY], PIN, by=h.by),
    ),
    Act("set a PIN", "registry.set_pin", lambda h: h.workshop.registry.set_pin(h.newcomer, "97531", h.by)),
    Act("say that a person has left", "registry.leave", lambda h: h.workshop.registry.leave(h.newcomer, h.by)),
    Act(
        "register an instrument or its calibration",
        "registry.register_instrument",
        lambda h: h.workshop.registry.register_instrument("Scale 1", "scale", FAR, h.by),
    ),
    Act("register a rig", "registry.register_rig", lambda h: h.workshop.registry.register_rig("Rig 9", h.by)),
    Act("register a shelf", "registry.register_shelf", lambda h: h.workshop.registry.register_shelf("A4", h.by)),
    Act(
        "set the pattern of shifts",
        "shifts.set_pattern",
        lambda h: h.workshop.shifts.set_pattern(h.by, [read_shift("day=06:00"), read_shift("night=18:00")], [], TODAY),
    ),
    Act(
        "say who belongs to which crew",
        "shifts.set_crew",
        lambda h: h.workshop.shifts.set_crew(h.newcomer, "A", h.by),
    ),
)

ACTS = {one.words: one for one in (*THE_WAY, *FINDING_OUT, *WORK, *HEAT_RUNS, *SAYING, *HANDING_OVER, *REGISTER)}
