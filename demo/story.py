"""What happens to whom: each story carries its unit as far as it has come, the way that every unit goes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from .at_work import (
    bag_open,
    being_fitted,
    half_fitted,
    reworked_and_released,
    sent_back_by_inspection,
    waits_for_parts,
    worked_out,
)
from .bench import Bench
from .proved import (
    being_inspected,
    being_load_tested,
    being_packed,
    heat_run,
    heat_run_judged,
    hot_spot_found,
    measured_out_of_calibration,
    packed_and_released,
    ready_to_release,
    sent_back_by_load_test,
    waits_for_a_rig,
)
from .straight import diagnosed, received, released
from .taken_in import (
    back_under_warranty,
    being_diagnosed,
    given_up_and_released,
    given_up_at_dispatch,
    half_received,
    just_booked,
    question_to_customer,
    runs_counted,
    siblings_measured,
    still_charged,
    traces_taken,
    waits_for_authority,
)

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
    "being fitted": Story(being_fitted, (14, 29), 3, (4, 120), before_the_change=True),
    "half fitted": Story(half_fitted, (26, 29), 3, (4, 9), 150, before_the_change=True),
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
