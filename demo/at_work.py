"""Stories of component work."""

from __future__ import annotations

from . import measuring, parts
from .bench import Bench
from .straight import inspected, reach_component_work, reach_diagnosis, reach_inspection


def _on_to_be_fitted(bench: Bench) -> None:
    """From diagnosis: the parts are listed, the work list comes of them, and the unit moves on."""
    bench.settle(until="diagnosis.work_planned")
    parts.listed_and_worked_out(bench)
    bench.settle()
    bench.move_on()


def being_fitted(bench: Bench) -> None:
    reach_component_work(bench)
    bench.settle(most=2)
    bench.fit(leave=1 + bench.sent.number % 4)
    bench.note("Old parts in the tray beside the board, marked with their places.")


def half_fitted(bench: Bench) -> None:
    """One bad device of six; the set and what ages goes with it."""
    reach_diagnosis(bench)
    _on_to_be_fitted(bench)
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
    measuring.good_trace_taken(bench)
    _on_to_be_fitted(bench)
    parts.open_bag(bench, "U40", "5a", "0.9 mm", "21.5 h")
    bench.note("U40 waits for the stencil; its bag is open, the clock runs.")


def worked_out(bench: Bench) -> None:
    reach_diagnosis(bench)
    _on_to_be_fitted(bench)
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
