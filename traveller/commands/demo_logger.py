"""The command that plays a logger on a load rig, to try a heat run without one."""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import UTC, datetime
from importlib import import_module
from pathlib import Path
from typing import IO

import click

from traveller.errors import InputError
from traveller.record.heat_runs.changes import read_steps
from traveller.record.heat_runs.times import read_moment
from traveller.shipped import load_package, shipped_folder

SHORTEST, LONGEST = 0.01, 3600.0
"""Seconds between rows."""


@click.command("demo-logger")
@click.option("--out", default="-", help="File to write, or - for standard output.")
@click.option("--speed", type=click.FloatRange(min=0.1), default=60.0, help="So many times as fast as a real one.")
@click.option("--begin", default="now", help="Time of the first row; ISO 8601 or 14:30 (UTC).")
@click.option("--amps", type=float, default=12.0, help="Rated amps of the unit.")
@click.option("--rise", type=float, default=47.0, help="End of the rise of its heatsink (K).")
@click.option("--steps", default="25 10, 50 10, 75 10, 100 210", help="Percent and minutes; the last is the hold.")
@click.option("--dip", type=float, default=20.0, help="Minute of the hold with a dip; negative for none.")
@click.option("--every", type=float, default=1.0, help="Seconds between rows.")
def demo_logger(
    out: str, speed: float, begin: str, amps: float, rise: float, steps: str, dip: float, every: float
) -> None:
    """Play a logger on a load rig: writes CSV as `traveller run TAG follow` reads it. Nothing of it is real."""
    if not SHORTEST <= every <= LONGEST:
        raise InputError(f"Rows come every {SHORTEST:g} to {LONGEST:g} seconds: give a number between.")
    load_package("traveller_demo", shipped_folder("demo"))
    logger = import_module("traveller_demo.logger")
    percents = tuple((one.percent, one.minutes) for one in read_steps(steps, "raise"))
    if not percents:
        raise InputError("The last step is the hold: name at least one, such as 100 210.")
    bench = logger.Bench(
        amps=amps,
        rise=rise,
        steps=percents,
        dip_minute=None if dip < 0 else dip,
        seconds=every,
    )
    start = read_moment(begin, UTC, datetime.now(UTC))
    if out == "-":
        logger.write(bench, start, speed, _written(sys.stdout))
        return
    try:
        with Path(out).open("w", encoding="utf-8") as file:
            logger.write(bench, start, speed, _written(file))
    except OSError as error:
        raise InputError(
            f"{out} cannot be written ({error.strerror}): name a file in a folder that is there."
        ) from None


def _written(file: IO[str]) -> Callable[[str], None]:
    """Each line at once, as a logger writes."""

    def write(line: str) -> None:
        file.write(line)
        file.flush()

    return write


COMMANDS: list[click.Command] = [demo_logger]
