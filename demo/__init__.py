"""An invented workshop with some sixty units in work. Nothing and nobody in it exists."""

from __future__ import annotations

import random
import tempfile
from datetime import datetime, timedelta
from pathlib import Path

from traveller.store.workshop import Workshop
from traveller.vocabulary import UnitKind

from .answers import Answers
from .bench import Bench
from .clock import Clock
from .people import Crew, open_shop
from .pictures import draw_inside
from .story import STORIES
from .units import SEED, Sent, own_answers, units

SHOP_AGE = timedelta(days=30)


def build(workshop: Workshop) -> None:
    """Fill an empty workshop. Every act goes the way that a terminal goes; only the clock is set back."""
    real = workshop.desk.clock
    now, today = real(), real().date()
    clock = Clock(now - SHOP_AGE)
    workshop.desk.clock = clock
    try:
        crew = open_shop(workshop, today)
        with tempfile.TemporaryDirectory() as folder:
            pictures = {kind: draw_inside(Path(folder), f"inside-{kind}") for kind in UnitKind}
            for sent in units(today):
                _live(workshop, crew, clock, sent, pictures[sent.nameplate.unit_kind], now)
    finally:
        workshop.desk.clock = real


def _live(workshop: Workshop, crew: Crew, clock: Clock, sent: Sent, picture: Path, now: datetime) -> None:
    """Tell one unit's story in its own time."""
    story, chance = STORIES[sent.story], random.Random(SEED + sent.number)
    start = now - timedelta(hours=chance.uniform(*story.hours))
    end = now - timedelta(minutes=chance.uniform(*story.quiet))
    clock.start(start, end)
    answers = Answers(sent.fault, chance, picture, own_answers(sent))
    bench = Bench(workshop, crew, clock, sent, answers, story.visits)
    story.tell(bench)
