"""What may stand in the register of the shop, and what is refused in words."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date

import pytest

from tests.small_shop import SmallShop
from traveller.errors import InputError, Refused

NEXT_YEAR = date(2032, 1, 1)


@pytest.mark.parametrize("figure", [-0.1, math.nan, math.inf])
def test_a_figure_that_cannot_be_is_refused(shop: SmallShop, figure: float) -> None:
    """A negative uncertainty would make the guard band let through what is out of its limit."""
    register = shop.workshop.registry
    for percent, absolute in ((figure, 0), (0, figure)):
        with pytest.raises(InputError, match="not below zero"):
            register.register_instrument("Meter 9", "voltmeter", NEXT_YEAR, shop.lead, percent, absolute)
    for volts, amps, power in ((figure, 0, 0), (0, figure, 0), (0, 0, figure)):
        with pytest.raises(InputError, match="not below zero"):
            register.register_rig("Rig 9", shop.lead, volts, amps, power)
    assert len(shop.workshop.shop().instruments) == 1
    assert not shop.workshop.shop().rigs


def test_only_an_instrument_has_a_next_calibration(shop: SmallShop) -> None:
    register = shop.workshop.registry
    with pytest.raises(Refused, match=f"{shop.technician} is not an instrument"):
        register.register_instrument("Meter 9", "voltmeter", NEXT_YEAR, shop.lead, tag=shop.technician)
    register.register_instrument("Voltmeter 1", "voltmeter", NEXT_YEAR, shop.lead, tag=shop.voltmeter)
    assert shop.workshop.shop().instruments[shop.voltmeter].calibration_due == NEXT_YEAR


def test_a_zone_is_kept_without_the_blanks_around_it(shop: SmallShop) -> None:
    named = shop.workshop.registry.name_shop("Mill Repairs", " Europe/Oslo ", shop.lead)
    assert named.zone == "Europe/Oslo"


def test_a_shop_that_another_thread_folds_meanwhile_is_not_taken_for_the_one_that_was_looked_at(
    shop: SmallShop, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What that thread folded may be rolled back; here it knows a person whom nobody has enrolled."""
    desk = shop.workshop.desk
    other = shop.terminal()
    mine = shop.workshop.shop()
    other.registry.register_shelf("Shelf 2", shop.lead)
    other.close()

    def meanwhile(*_words: object) -> bool:
        stranger = replace(mine, people={**mine.people, "P-0": next(iter(mine.people.values()))})
        desk._shop = ("a digest that is on no record", stranger)
        return True

    monkeypatch.setattr(desk, "_still_true", meanwhile)
    seen = shop.workshop.shop()
    assert "P-0" not in seen.people
    assert [one.name for one in seen.shelves.values()][-1] == "Shelf 2"
