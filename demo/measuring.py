"""What is measured while the fault is looked for: siblings side by side, a pair of traces, runs that are counted."""

from __future__ import annotations

from datetime import timedelta

from traveller.record.sibling_entries import TraceRole
from traveller.vocabulary import Role

from .bench import Bench

STAGE, SUSPECT = "output stage", "U40.7"
ROWS = (
    ("diode C-E", "V", "0.43 0.42 0.43 0.42 0.03 0.43"),
    ("diode E-C", "V", "0.44 0.43 0.43 0.44 0.03 0.43"),
    ("gate resistance", "Ω", "10.1 10.0 10.2 10.1 3.4 10.1"),
    ("leakage", "A", "0.8u 0.9u 0.8u 0.7u 61u 0.9u"),
)
WARM, SHARE_OF_FAILURES = "self-test warm, 45 °C", (180, 2, 61)
"""Runs, failures, and clean ones since the last failure."""


def siblings_measured(bench: Bench) -> None:
    """Six devices, row by row; the fifth stands apart in every one of them."""
    for row, unit, readings in ROWS:
        bench.view = bench.workshop.measuring.siblings(
            bench.tag,
            bench.by(Role.TECHNICIAN),
            STAGE,
            row,
            readings,
            devices=[f"Q{number}" for number in range(1, 7)],
            unit=unit,
            instruments=[bench.crew.instrument("multimeter", bench.sent.number)],
        )


def traces_taken(bench: Bench) -> None:
    """A good sibling and the suspect at three pins: one pair is far apart."""
    for node, leak in ((SUSPECT, 2.4e-3), ("U40.8", 0.0), ("U21.3", 0.0)):
        _trace(bench, node, "good")
        _trace(bench, node, "suspect", leak)


def good_trace_taken(bench: Bench) -> None:
    """From which the next unit of the model learns how far apart good ones may be."""
    _trace(bench, SUSPECT, "good")


def _trace(bench: Bench, node: str, role: TraceRole, leak: float = 0.0) -> None:
    path = bench.drawer.trace(f"{node}-{role}-{bench.sent.number}", leak)
    scope = bench.crew.instrument("oscilloscope", bench.sent.number)
    measuring = bench.workshop.measuring
    bench.view = measuring.trace(bench.tag, bench.by(Role.TECHNICIAN), node, role, str(path), [scope])


def runs_counted(bench: Bench) -> None:
    """Over and over, warm: two of many failed."""
    runs, failures, clean = SHARE_OF_FAILURES
    until = bench.clock()
    bench.view = bench.workshop.measuring.runs(
        bench.tag,
        bench.by(Role.TECHNICIAN),
        WARM,
        runs,
        failures,
        clean,
        first=until - timedelta(hours=3),
        last=until,
        source="counter of the test bench",
    )
