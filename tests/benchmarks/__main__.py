"""All benchmarks, one table: ``python -m tests.benchmarks [--full] [NAME ...]``. No test: a slow machine is no mistake.

Each figure is a ratio to a floor that was timed in the same run, in turn with ours. Without ``--full`` the sizes are
smaller and all of them end within some three minutes.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

from tests.benchmarks.row import NAMES, Row, Size, measured

HEADS = ("name", "ours", "floor", "ratio", "wanted", "memory MB", "")
WIDTHS = (52, 12, 12, 7, 10, 9, 7)


def in_a_process_of_its_own(name: str, size: Size) -> list[Row]:
    """The peak of memory is that of one benchmark, and none finds what an earlier one has warmed."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as one:
        return one.submit(measured, name, size).result()


def cells(row: Row) -> Iterator[str]:
    yield row.name
    yield f"{row.ours:,.2f} {row.unit}"
    yield "none" if row.floor is None else f"{row.floor:,.2f} {row.unit}"
    yield "" if row.ratio is None else f"{row.ratio:.2f}"
    yield f"{row.wanted:g}" if row.ratio is not None else f"{row.wanted:g} {row.unit}"
    yield f"{row.memory:.0f}"
    yield "met" if row.met else "not met"


def line(parts: tuple[str, ...]) -> str:
    first, *others = (
        f"{part:<{width}}" if place == 0 else f"{part:>{width}}"
        for place, (part, width) in enumerate(zip(parts, WIDTHS, strict=True))
    )
    return "  ".join((first, *others)).rstrip()


def main() -> None:
    asked = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    asked.add_argument("names", nargs="*", metavar="NAME", help=f"some of: {', '.join(NAMES)}; all if left out")
    asked.add_argument("--full", action="store_true", help="the sizes of docs/performance.md; takes long")
    given = asked.parse_args()
    if strange := set(given.names) - set(NAMES):
        asked.error(f"there is no benchmark {', '.join(sorted(strange))}; there are: {', '.join(NAMES)}")
    print(line(HEADS), flush=True)
    for name in given.names or NAMES:
        for row in in_a_process_of_its_own(name, Size.FULL if given.full else Size.SHORT):
            print(line(tuple(cells(row))), flush=True)


if __name__ == "__main__":
    main()
