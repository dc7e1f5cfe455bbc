"""Hands that do to a unit whatever comes into their mind; what a rule forbids is refused and nothing happens."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from uuid import UUID

from tests.small_shop import NOW, PIN, WAY, SmallShop
from traveller.errors import InputError, Refused
from traveller.record.entries import Answered, Noted
from traveller.record.view import UnitView
from traveller.record.work_entries import WorkReason
from traveller.vocabulary import HazardKind

REFERENCES = ("Q1", "Q2", "C17")
REASON: WorkReason = "failed"


@dataclass
class RandomHands:
    """`done` holds every entry that an act handed back, `refused` counts what a rule forbade."""

    shop: SmallShop
    chance: random.Random
    done: list[tuple[str, UUID]] = field(default_factory=list)
    refused: int = 0

    def do_something(self, tags: Sequence[str]) -> None:
        tag = self.chance.choice(tags)
        act = self._next_step if self.chance.random() < 0.45 else self.chance.choice(self._acts())
        try:
            after = act(tag)
        except (Refused, InputError):
            self.refused += 1
            return
        self.done.append((tag, after.entries[-1].id))

    def _acts(self) -> list[Callable[[str], UnitView]]:
        return [
            self._answer,
            self._amend,
            self._talk,
            self._work,
            self._hazard,
            self._nonconformity,
            self._route,
        ]

    def _any(self, *acts: Callable[[], UnitView]) -> UnitView:
        return self.chance.choice(acts)()

    def _person(self) -> str:
        shop = self.shop
        return self.chance.choice((shop.lead, shop.technician, shop.inspector, shop.tester, shop.clerk))

    def _next_step(self, tag: str) -> UnitView:
        """What a person in their senses would do next."""
        seen = self.shop.workshop.unit(tag)
        first = seen.first_open(seen.unit.station)
        if first and first.check.required:
            return self.shop.answer(tag, first.check.full_key, WAY[first.check.full_key])
        if seen.next_sheet:
            return self.shop.workshop.move_on(tag, self.shop.who(f"{seen.unit.station}."))
        return self.shop.workshop.release(tag, self.shop.clerk, PIN, "done")

    def _answer(self, tag: str) -> UnitView:
        check = self.chance.choice(list(WAY))
        wrong = "400" if check == "diagnosis.link" else "n"
        return self.shop.answer(tag, check, self.chance.choice((WAY[check], wrong)))

    def _amend(self, tag: str) -> UnitView:
        """Correct or withdraw an answer or a note."""
        entries = [one for one in self.shop.workshop.unit(tag).entries if isinstance(one.body, Answered | Noted)]
        target = self.chance.choice([*entries, self.shop.workshop.unit(tag).entries[0]])
        if isinstance(target.body, Answered) and self.chance.random() < 0.6:
            used = [self.shop.voltmeter] if target.body.instruments else []
            text = WAY[target.body.check]
            return self.shop.workshop.answer(
                tag, target.body.check, text, target.by, used, corrects=target.id, because="slip of the pen"
            )
        return self.shop.workshop.withdraw(tag, target.id, target.by, "slip of the pen")

    def _talk(self, tag: str) -> UnitView:
        workshop, who = self.shop.workshop, self._person()
        asked = [one.id for one in workshop.unit(tag).unit.open_questions()]
        return self._any(
            lambda: workshop.note(tag, who, "smells of oil"),
            lambda: workshop.reply(tag, asked[0], who, "yes") if asked else workshop.ask(tag, who, "fan too?"),
        )

    def _work(self, tag: str) -> UnitView:
        workshop, who, where = self.shop.workshop, self._person(), self.chance.choice(REFERENCES)
        return self._any(
            lambda: workshop.plan_work(tag, who, [where], "part", REASON, "stage", REFERENCES[:2]),
            lambda: workshop.fit(tag, where, who, "part"),
            lambda: workshop.verify_work(tag, where, who),
            lambda: workshop.reject_work(tag, where, who, "dull joint"),
            lambda: workshop.strike_work(tag, where, who, "good"),
        )

    def _hazard(self, tag: str) -> UnitView:
        workshop, who = self.shop.workshop, self._person()
        kind = self.chance.choice((HazardKind.HOT, HazardKind.STORED_CHARGE, HazardKind.ENERGISED))
        return self._any(
            lambda: workshop.raise_hazard(tag, kind, who, "heat sink"),
            lambda: workshop.clear_hazard(tag, kind, who, "measured"),
        )

    def _nonconformity(self, tag: str) -> UnitView:
        workshop, who = self.shop.workshop, self._person()
        still_open = [one.id for one in workshop.unit(tag).unit.open_nonconformities()]
        if not still_open:
            return workshop.raise_nonconformity(tag, who, "scratch", self.chance.choice(["", *WAY]))
        return self._any(
            lambda: workshop.close_nonconformity(tag, still_open[0], who, "mended"),
            lambda: workshop.concede(tag, still_open[0], who, "harmless", "by letter"),
        )

    def _route(self, tag: str) -> UnitView:
        workshop, who = self.shop.workshop, self._person()
        station = self.chance.choice(list(WAY)).partition(".")[0]
        return self._any(
            lambda: workshop.move_on(tag, who),
            lambda: workshop.send_back(tag, station, who, "found something"),
            lambda: workshop.hold(tag, who, "waits for a part", (NOW + timedelta(days=1)).date()),
            lambda: workshop.resume(tag, who),
            lambda: workshop.decide(tag, who, self.chance.choice(("repair", "scrap")), "cost", "by letter"),
        )


def work_alone(shop: SmallShop, tags: Sequence[str], acts: int, seed: int) -> list[tuple[str, UUID]]:
    """In a process of its own: a terminal of its own, so many acts, and what they handed back."""
    terminal = shop.terminal(f"bench {seed}")
    hands = RandomHands(shop.at(terminal), random.Random(seed))
    for _ in range(acts):
        hands.do_something(tags)
    terminal.close()
    return hands.done
