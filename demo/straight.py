"""The straight way, station by station: each reaches a station with everything before it proved."""

from __future__ import annotations

from .bench import Bench


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
