"""An invented workshop with some sixty units in work. Nothing and nobody in it exists."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Callable, Iterator
from datetime import date, datetime, timedelta
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

from traveller.store.workshop import Workshop

from .answers import Answers
from .bench import Bench
from .clock import Clock, Heard, SideBySide, nobody_hears
from .files import Drawer
from .people import ZONE, Crew, open_shop
from .shifts import ChangeOfShift, set_pattern
from .story import STORIES
from .units import SEED, own_answers, units

SHOP_AGE = timedelta(days=35)


def build(workshop: Workshop, heard: Heard = nobody_hears) -> None:
    """Fill an empty workshop. Every act goes the way that a terminal goes; only the clock is set back.

    `heard` is told how far it is.
    """
    real = workshop.desk.clock
    now = real()
    today = now.astimezone(ZoneInfo(ZONE)).date()
    day = SideBySide(now - SHOP_AGE)
    workshop.desk.clock = day
    try:
        crew = open_shop(workshop, today)
        set_pattern(workshop, crew, today)
        with tempfile.TemporaryDirectory() as folder:
            day.tell(list(_stories(workshop, crew, Drawer(Path(folder)), now, today)), heard)
    finally:
        workshop.desk.clock = real


def _stories(
    workshop: Workshop, crew: Crew, drawer: Drawer, now: datetime, today: date
) -> Iterator[tuple[Clock, Callable[[], None]]]:
    """Each unit's, and that of the last change of shift, in their own time."""
    shop = workshop.shop()
    turn = shop.turn(now)
    change = ChangeOfShift(workshop, crew, shop.roster.before(turn, shop.zone), turn, now)
    clock = change.clock()
    yield clock, partial(change.tell, clock)
    for sent in units(today):
        story, chance = STORIES[sent.story], random.Random(SEED + sent.number)
        latest = change.signed_at if story.before_the_change else now
        start = latest - timedelta(hours=chance.uniform(*story.hours))
        clock = Clock(start, latest - timedelta(minutes=chance.uniform(*story.quiet)))
        answers = Answers(sent.fault, chance, drawer.inside(sent.nameplate.unit_kind), own_answers(sent))
        bench = Bench(workshop, crew, clock, sent, answers, drawer, story.visits, story.last_visit)
        yield clock, partial(story.tell, bench)
