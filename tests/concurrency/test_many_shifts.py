"""Several processes book the same rigs and take over the same items at once; the bare lines of the shop are checked."""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from datetime import timedelta
from multiprocessing import get_context
from typing import Any

import pytest

from tests.concurrency.model import accepted_twice, booked_twice, sound_chain
from tests.concurrency.test_many_hands import PROCESSES, SEED, lines_of
from tests.small_shop import NOW, PIN, SmallShop
from tests.trials import tell, trials
from traveller.errors import Refused
from traveller.record.acts.handover import Wording
from traveller.record.shop_entries import SHOP
from traveller.vocabulary import Role

ACTS_EACH = trials(short=40, full=1_500)
HOURS = trials(short=24, full=200)
"""So many hours are there to be booked: few enough that most are wanted by several."""
pytestmark = pytest.mark.heavy


@dataclass
class Told:
    """What one process was told: its own bookings and items, and how often a rule forbade it."""

    booked: int = 0
    freed: int = 0
    handed_over: int = 0
    accepted: int = 0
    refused: int = 0


def work(shop: SmallShop, rigs: Sequence[str], units: Sequence[str], hands: Sequence[str], seed: int) -> Told:
    """In a process of its own, at a terminal of its own."""
    here = shop.terminal(f"bench {seed}")
    chance, told = random.Random(seed), Told()

    def book() -> None:
        begins = NOW + timedelta(hours=chance.randrange(HOURS))
        ends = begins + timedelta(hours=chance.choice((0.5, 1, 3)))
        here.rigs.book(chance.choice(rigs), chance.choice(units), begins, ends, shop.tester)
        told.booked += 1

    def free() -> None:
        here.rigs.free(chance.choice(rigs), chance.choice(units), shop.tester)
        told.freed += 1

    def hand_over() -> None:
        here.handovers.prepare(chance.choice(hands), Wording(words="as it stands", as_well=True, receiver=hands[0]))
        told.handed_over += 1

    def accept() -> None:
        waiting = [one.item.number for one in here.handovers.waiting().all]
        if not waiting:
            return hand_over()
        here.handovers.accept(chance.choice(hands), [min(waiting)])
        told.accepted += 1
        return None

    for _ in range(ACTS_EACH):
        try:
            chance.choices((book, free, hand_over, accept), (5, 1, 1, 6))[0]()
        except Refused:
            told.refused += 1
    here.close()
    return told


def shop_entries(shop: SmallShop) -> list[dict[str, Any]]:
    return [json.loads(payload) for _, payload, _, _ in lines_of(shop)[SHOP]]


def test_no_rig_is_booked_twice_and_no_item_accepted_twice(shop: SmallShop, capsys: pytest.CaptureFixture[str]) -> None:
    register = shop.workshop.registry
    rigs = [register.register_rig(f"Rig {n}", shop.lead, 500, 48, 22e3) for n in (1, 2)]
    hands = [register.enrol(f"Lead {n}", [Role.LEAD], PIN, by=shop.lead) for n in range(4)]
    units = [shop.booked() for _ in range(4)]
    for unit in units:
        shop.workshop.hold(unit, shop.lead, "waits for a fan", NOW.date())
    with ProcessPoolExecutor(PROCESSES, mp_context=get_context("forkserver")) as pool:
        working = [pool.submit(work, shop, rigs, units, hands, SEED + n) for n in range(PROCESSES)]
        done = [one.result() for one in working]
    entries = shop_entries(shop)
    double, twice = booked_twice(entries), accepted_twice(entries)
    kinds = [one["body"]["kind"] for one in entries]
    tell(
        capsys,
        f"{shop.workshop.engine.dialect.name}, {PROCESSES} processes at {len(rigs)} rigs and {len(hands)} leads",
        acts=PROCESSES * ACTS_EACH,
        booked=kinds.count("rig booked"),
        handed_over=kinds.count("handover prepared"),
        accepted=kinds.count("item accepted"),
        refused=sum(one.refused for one in done),
        booked_twice=len(double),
        accepted_twice=len(twice),
    )
    assert (double, twice, sound_chain(lines_of(shop)[SHOP])) == ([], [], [])
    assert kinds.count("rig booked") == sum(one.booked for one in done) > PROCESSES
    assert kinds.count("item accepted") == sum(one.accepted for one in done) > PROCESSES
    assert sum(one.refused for one in done) > PROCESSES, "they got in each other's way"


def test_the_model_sees_a_double_booking_and_a_double_acceptance(shop: SmallShop) -> None:
    """Each rule is broken once by hand."""
    workshop, unit = shop.workshop, shop.booked()
    rig = workshop.registry.register_rig("Rig 1", shop.lead, 500, 48, 22e3)
    workshop.hold(unit, shop.lead, "waits for a fan", NOW.date())
    workshop.rigs.book(rig, unit, NOW, NOW + timedelta(hours=2), shop.tester)
    given = workshop.handovers.prepare(shop.lead, Wording(words="as it stands", receiver=shop.technician))
    workshop.handovers.accept(shop.technician, [given.body.items[0].number])
    entries = shop_entries(shop)
    assert (booked_twice(entries), accepted_twice(entries)) == ([], [])

    booking = next(one for one in entries if one["body"]["kind"] == "rig booked")
    again = {**copy.deepcopy(booking), "id": "later"}
    assert booked_twice([*entries, again]) == [f"later and {booking['id']} have {rig} at the same time"]
    freed = {**booking, "id": "freed", "body": {"kind": "rig freed", "booking": booking["id"]}}
    assert booked_twice([*entries, freed, again]) == []
    taken = next(one for one in entries if one["body"]["kind"] == "item accepted")
    assert len(accepted_twice([*entries, {**taken, "by": shop.inspector}])) == 1
    assert len(accepted_twice([*entries, {**taken, "by": shop.lead}])) == 2
    assert "never handed over" in accepted_twice([taken])[0]
