"""What happens to whom: each story carries its unit as far as it has come, the way that every unit goes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

from traveller.vocabulary import Role

from . import measuring, parts, runs
from .bench import Bench
from .leaving import came_back, joints_counted, packed_up, wait_for_authority

Tell = Callable[[Bench], None]


@dataclass(frozen=True)
class Story:
    """One way that a unit can have gone.

    `hours` since it came in (from, to), `visits`: how many stations it sees, `quiet`: minutes since the last
    entry (from, to), both counted from now or, `before_the_change`, from the end of the last shift. `last_visit`:
    minutes at the last station.
    """

    tell: Tell
    hours: tuple[float, float]
    visits: int
    quiet: tuple[int, int] = (3, 170)
    last_visit: int = 15
    before_the_change: bool = False


# ---- the straight way, station by station ------------------------------------------------------------------


def received(bench: Bench) -> None:
    bench.book_in()
    bench.settle()


def reach_diagnosis(bench: Bench) -> None:
    received(bench)
    bench.move_on()


def diagnosed(bench: Bench) -> None:
    reach_diagnosis(bench)
    bench.settle()
    bench.plan()


def reach_component_work(bench: Bench) -> None:
    diagnosed(bench)
    bench.move_on()


def reach_inspection(bench: Bench) -> None:
    reach_component_work(bench)
    bench.fit()
    bench.settle()
    bench.move_on()


def inspected(bench: Bench) -> None:
    bench.verify()
    bench.settle()


def reach_load_test(bench: Bench) -> None:
    reach_inspection(bench)
    inspected(bench)
    bench.move_on()


def reach_dispatch(bench: Bench) -> None:
    reach_load_test(bench)
    bench.put_on_rig()
    bench.settle()
    bench.move_on()


def released(bench: Bench) -> None:
    reach_dispatch(bench)
    bench.settle()
    bench.release()


def packed_and_released(bench: Bench) -> None:
    reach_dispatch(bench)
    packed_up(bench)
    bench.settle()
    bench.release()


# ---- goods-in ----------------------------------------------------------------------------------------------


def just_booked(bench: Bench) -> None:
    bench.book_in()
    bench.settle(most=3)


def half_received(bench: Bench) -> None:
    bench.book_in()
    bench.settle(most=7)


def still_charged(bench: Bench) -> None:
    bench.book_in()
    bench.settle(until="goods_in.stored_charge")
    bench.read("goods_in.stored_charge", "312")
    bench.note("Bleeder looks open. Covered, sign on it, nobody reaches in. Measure again at every change of shift.")


# ---- diagnosis ---------------------------------------------------------------------------------------------


def being_diagnosed(bench: Bench) -> None:
    reach_diagnosis(bench)
    bench.settle(most=3 + bench.sent.number % 6)


def back_under_warranty(bench: Bench) -> None:
    bench.book_in()
    came_back(bench, "same", "trips in the same way, at the same phase")
    bench.settle()
    bench.move_on()
    bench.settle(most=5)


def siblings_measured(bench: Bench) -> None:
    reach_diagnosis(bench)
    bench.settle(until="diagnosis.diode_test")
    measuring.siblings_measured(bench)
    bench.photograph("power-stage", "", "Q5 of the output stage, case cracked at the edge")
    bench.note_for(
        "Output stage measured device by device.",
        "six devices, four rows: Q5 is out in all of them",
        "gate drivers behind Q5 and Q2",
        "link is dead, bleeder fitted: leave it on",
        ["diagnosis"],
    )


def traces_taken(bench: Bench) -> None:
    reach_diagnosis(bench)
    bench.settle(most=6)
    measuring.traces_taken(bench)


def runs_counted(bench: Bench) -> None:
    reach_diagnosis(bench)
    bench.settle(until="diagnosis.clean_runs")
    measuring.runs_counted(bench)
    bench.note_for("Counts on by itself.", "180 runs warm, 2 failed", "write down the counter at every change of shift")


def waits_for_authority(bench: Bench) -> None:
    reach_diagnosis(bench)
    bench.settle(until="diagnosis.decision")
    wait_for_authority(bench)
    bench.plan()
    bench.put_on("Waiting W1")


def question_to_customer(bench: Bench) -> None:
    reach_diagnosis(bench)
    bench.settle(most=8)
    measuring.good_trace_taken(bench)
    bench.ask("Is the brake in the machine the 24 V type with its own rectifier?", "customer")
    bench.note("Drive left on the diagnosis bench, cover off, link measured dead.")


def given_up(bench: Bench) -> None:
    """Beyond economic repair: straight to dispatch with the customer's word for it."""
    reach_diagnosis(bench)
    bench.settle()
    bench.note("Board carbonised between the bus bars over half its length; no replacement board to be had.")
    bench.give_up(
        "return unrepaired",
        "beyond economic repair: the estimate exceeds the price of a new unit",
        "Ms Trossen agreed by telephone and confirmed in writing: return it as it is",
    )
    bench.settle()
    bench.move_on()


def given_up_and_released(bench: Bench) -> None:
    given_up(bench)
    bench.settle()
    bench.release()


def given_up_at_dispatch(bench: Bench) -> None:
    given_up(bench)
    bench.settle(most=2)


# ---- component work ----------------------------------------------------------------------------------------


def being_fitted(bench: Bench) -> None:
    reach_component_work(bench)
    bench.settle(most=2)
    bench.fit(leave=1 + bench.sent.number % 4)
    bench.note("Old parts in the tray beside the board, marked with their places.")


def half_fitted(bench: Bench) -> None:
    """One bad device of six; the set and what ages goes with it."""
    reach_diagnosis(bench)
    bench.settle(until="diagnosis.work_planned")
    parts.listed_and_worked_out(bench)
    bench.settle()
    bench.move_on()
    bench.settle(most=2)
    parts.fit_some(bench, 12)
    bench.photograph("heatsink", "Q5", "Heatsink under the modules, cleaned, new compound")
    bench.note_for(
        "Modules are in and torqued, the rest lies in the tray.",
        "Q1-Q6 fitted, first torque round",
        "second torque round when the compound has settled, then the driver checks",
        "the link bank C1-C4 is a set: same lot for all four",
        ["component_work"],
    )


def bag_open(bench: Bench) -> None:
    """A moisture-sensitive part lies beside the unit; its clock runs across the shifts."""
    reach_diagnosis(bench)
    bench.settle(until="diagnosis.work_planned")
    measuring.good_trace_taken(bench)
    parts.listed_and_worked_out(bench)
    bench.settle()
    bench.move_on()
    parts.open_bag(bench, "U40", "5a", "0.9 mm", "21.5 h")
    bench.note("U40 waits for the stencil; its bag is open, the clock runs.")


def worked_out(bench: Bench) -> None:
    reach_diagnosis(bench)
    bench.settle(until="diagnosis.work_planned")
    parts.listed_and_worked_out(bench)
    bench.settle()
    bench.move_on()
    bench.settle(most=1)


def waits_for_parts(bench: Bench) -> None:
    reach_component_work(bench)
    bench.fit(leave=2)
    missing = bench.sent.fault.parts[0].part
    bench.hold(f"waits for parts: {missing} ordered, delivery announced", 3)


def sent_back_by_inspection(bench: Bench) -> None:
    reach_inspection(bench)
    bench.verify(leave=2)
    bench.settle(most=5)
    bench.reject("joint of the second pin did not wet, solder ball beside it")
    bench.send_back("component_work", "Dry joint and a solder ball at the first part of the list")
    bench.settle(most=1)


def reworked_and_released(bench: Bench) -> None:
    """Sent back by inspection, put right, seen again, and out."""
    reach_inspection(bench)
    bench.verify(leave=2)
    bench.reject("polarity mark covered, cannot be told: fitted again")
    bench.send_back("component_work", "Polarity of the first part cannot be told")
    bench.fit()
    bench.settle()
    bench.move_on()
    inspected(bench)
    bench.close_nonconformities("fitted again, polarity seen and photographed")
    bench.move_on()
    bench.put_on_rig()
    bench.settle()
    bench.move_on()
    bench.settle()
    bench.release()


# ---- inspection and load test ------------------------------------------------------------------------------


def being_inspected(bench: Bench) -> None:
    reach_inspection(bench)
    bench.verify(leave=bench.sent.number % 3)
    joints_counted(bench)
    bench.settle(most=2 + bench.sent.number % 5)


def measured_out_of_calibration(bench: Bench) -> None:
    """The old insulation tester was at hand, and nobody looked at its label."""
    reach_inspection(bench)
    bench.verify()
    bench.settle()
    bench.measure_again_with_old("insulation tester")
    bench.note("Result looks right, but the label of the tester says otherwise.", Role.INSPECTOR)


def being_load_tested(bench: Bench) -> None:
    reach_load_test(bench)
    bench.put_on_rig()
    bench.settle(most=1 + bench.sent.number % 3)


def sent_back_by_load_test(bench: Bench) -> None:
    reach_load_test(bench)
    bench.put_on_rig()
    bench.settle(until="load_test.load_amps", live=True)
    rated = bench.sent.nameplate.ratings["output_amps"]
    bench.read("load_test.load_amps", " ".join(f"{share * rated:.1f}" for share in (0.79, 0.8, 0.88)))
    bench.read("load_test.made_dead")
    bench.read("load_test.link_dead")
    bench.send_back(
        "diagnosis",
        "Trips at four fifths of rated current after eleven minutes, heatsink only 51 °C",
        "load_test.load_amps",
    )
    bench.note("Current of phase W jumps before the trip. Look at its sensor first.", Role.LOAD_TESTER)
    bench.settle(most=2)


def heat_run(bench: Bench) -> None:
    """At full power: the hold has begun and goes on."""
    reach_load_test(bench)
    bench.put_on_rig()
    bench.settle(until="load_test.power_on_rig")
    started = runs.start_run(bench, runs.IN_PROGRESS)
    runs.read_on(bench, started, runs.IN_PROGRESS)


def _run_to_the_end(bench: Bench) -> None:
    reach_load_test(bench)
    bench.put_on_rig()
    bench.settle(until="load_test.power_on_rig")
    started = runs.start_run(bench, runs.WHOLE)
    runs.read_on(bench, started, runs.WHOLE - 20)


def heat_run_judged(bench: Bench) -> None:
    _run_to_the_end(bench)
    runs.thermal_picture(bench)
    runs.end_run(bench)
    bench.settle()


def hot_spot_found(bench: Bench) -> None:
    """The hold was met, but one device of six is far hotter than its siblings."""
    _run_to_the_end(bench)
    runs.thermal_picture(bench, hot="Q5", extra=27.0)
    runs.end_run(bench)
    for key in ("made_dead", "link_dead", "cooled"):
        bench.read(f"load_test.{key}")
    bench.send_back("diagnosis", "Q5 is far hotter than its five siblings at the end of the hold", "load_test.hot_spot")
    bench.settle(most=2)


def waits_for_a_rig(bench: Bench) -> None:
    reach_load_test(bench)
    bench.hold("waits for the large rig, which is taken", 1)
    runs.book_for_next_shift(bench, timedelta(minutes=30))


# ---- dispatch ----------------------------------------------------------------------------------------------


def being_packed(bench: Bench) -> None:
    reach_dispatch(bench)
    bench.settle(most=2 + bench.sent.number % 3)


def ready_to_release(bench: Bench) -> None:
    reach_dispatch(bench)
    bench.settle()


STORIES: dict[str, Story] = {
    "released long ago": Story(released, (600, 640), 6, (28800, 30000)),
    "packed and released": Story(packed_and_released, (60, 120), 6, (300, 1200)),
    "released": Story(released, (60, 190), 6, (300, 1700)),
    "released after rework": Story(reworked_and_released, (90, 140), 8, (200, 400)),
    "scrapped and returned": Story(given_up_and_released, (70, 100), 3, (500, 900)),
    "back under warranty": Story(back_under_warranty, (9, 14), 2),
    "just booked": Story(just_booked, (0.2, 0.5), 1, (3, 9)),
    "half received": Story(half_received, (0.5, 1.4), 1, (4, 15)),
    "still charged": Story(still_charged, (0.6, 0.9), 1, (8, 14), before_the_change=True),
    "received": Story(received, (1.5, 4), 1, (5, 60)),
    "being diagnosed": Story(being_diagnosed, (8, 20), 2, (4, 200)),
    "siblings measured": Story(siblings_measured, (9, 12), 2, (4, 20)),
    "traces taken": Story(traces_taken, (12, 18), 2, (10, 50)),
    "runs counted": Story(runs_counted, (18, 22), 2, (4, 12)),
    "waits for authority": Story(waits_for_authority, (70, 150), 2, (1500, 3000)),
    "question to customer": Story(question_to_customer, (20, 30), 2),
    "diagnosed": Story(diagnosed, (10, 18), 2),
    "sent back by load test": Story(sent_back_by_load_test, (28, 34), 6, (10, 50)),
    "being fitted": Story(being_fitted, (14, 29), 3, (4, 120)),
    "half fitted": Story(half_fitted, (26, 29), 3, (4, 9), 150),
    "bag open": Story(bag_open, (20, 24), 3, (40, 90)),
    "worked out": Story(worked_out, (18, 22), 3, (20, 80)),
    "waits for parts": Story(waits_for_parts, (100, 220), 4, (1400, 4000)),
    "sent back by inspection": Story(sent_back_by_inspection, (24, 30), 5, (15, 60)),
    "being inspected": Story(being_inspected, (20, 30), 4, (3, 90)),
    "measured out of calibration": Story(measured_out_of_calibration, (26, 30), 4, (20, 40)),
    "being load tested": Story(being_load_tested, (24, 32), 5, (3, 60)),
    "heat run": Story(heat_run, (27, 30), 5, (4, 6), 120),
    "heat run judged": Story(heat_run_judged, (40, 44), 5, (30, 60), 240),
    "hot spot found": Story(hot_spot_found, (38, 42), 6, (150, 190), 240),
    "waits for a rig": Story(waits_for_a_rig, (30, 44), 5, (12, 20), 400),
    "being packed": Story(being_packed, (30, 80), 6, (3, 50)),
    "ready to release": Story(ready_to_release, (40, 60), 6, (20, 30)),
    "unrepaired at dispatch": Story(given_up_at_dispatch, (50, 70), 3),
}
