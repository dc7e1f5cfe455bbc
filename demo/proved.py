"""Stories of inspection, load test and dispatch."""

from __future__ import annotations

from datetime import timedelta

from traveller.vocabulary import Role

from . import runs
from .bench import Bench
from .leaving import joints_counted, packed_up
from .straight import reach_dispatch, reach_inspection, reach_load_test


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


def being_packed(bench: Bench) -> None:
    reach_dispatch(bench)
    bench.settle(most=2 + bench.sent.number % 3)


def ready_to_release(bench: Bench) -> None:
    reach_dispatch(bench)
    bench.settle()


def packed_and_released(bench: Bench) -> None:
    reach_dispatch(bench)
    packed_up(bench)
    bench.settle()
    bench.release()
