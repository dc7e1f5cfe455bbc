"""A terminal whose cable can be pulled, beside the terminal of the shop."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from uuid import UUID

from tests.small_shop import NOW, SmallShop
from tests.store.cable import Cable
from traveller.store.desk import Desk
from traveller.store.engine import open_engine
from traveller.store.workshop import Workshop

SEEN = "goods_in.seen"
LINK = "diagnosis.link"


@dataclass
class Bench:
    """One terminal with a folder of its own and a clock that can be set, beside the terminal of the shop."""

    shop: SmallShop
    folder: Path
    now: datetime = NOW + timedelta(minutes=14)

    def __post_init__(self) -> None:
        self.start()

    def start(self) -> None:
        desk = Desk(open_engine(self.shop.url), self.shop.workshop.desk.stations, "bench 2", lambda: self.now)
        self.workshop = Workshop(desk, self.folder)
        self.cable = Cable(self.workshop)
        self.workshop.shop()

    def restart(self) -> None:
        self.workshop.close()
        self.start()

    def back(self) -> int:
        self.cable.put_in()
        return self.workshop.keeping.deliver()

    def why(self) -> list[str]:
        return [line for one in self.workshop.keeping.questions() for line in one.why]

    def which(self) -> UUID:
        return self.workshop.keeping.questions()[0].kept.id

    def kept_lines(self) -> list[dict[str, object]]:
        return [json.loads(line) for line in (self.folder / "kept.jsonl").read_text().splitlines()]
