"""Stories that stand at goods-in and diagnosis."""

from __future__ import annotations

from . import measuring
from .bench import Bench
from .leaving import came_back, wait_for_authority
from .straight import reach_diagnosis


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
