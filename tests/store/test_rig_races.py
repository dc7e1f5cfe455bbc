"""Two hands on one rig at the same moment: one has it, the other is told who."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from tests.small_shop import NOW, SmallShop
from tests.store.test_workshop_races import TRIALS, at_once
from traveller.errors import Refused


def test_one_rig_is_never_booked_twice(shop: SmallShop) -> None:
    rig = shop.workshop.registry.register_rig("Rig 1", shop.lead, 500, 48, 22e3)
    units = (shop.booked(), shop.booked())
    other = shop.terminal()
    for trial in range(TRIALS):
        begins = NOW + timedelta(hours=trial)

        def booking(place: int) -> Callable[[], object]:
            workshop = (shop.workshop, other)[place]
            return lambda: workshop.rigs.book(rig, units[place], begins, begins + timedelta(hours=1), shop.tester)  # noqa: B023

        ended = at_once(booking(0), booking(1))
        refused = [one for one in ended if isinstance(one, Refused)]
        assert len(refused) == 1
        assert "booked for U" in str(refused[0])
    assert [len(one) for one in shop.workshop.rigs.booked().values()] == [TRIALS]
    other.close()
