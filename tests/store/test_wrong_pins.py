"""Guessing a PIN slows down, ends, and stays counted whatever becomes of the act that asked for it.

NIST SP 800-63B 5.2.2 asks for throttling and allows at most 100 wrong tries in a row.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.small_shop import NOW, PIN, SmallShop
from traveller.errors import Refused
from traveller.store.pins import LOCKED_AT, LONGEST_WAIT, wait_after
from traveller.store.workshop import Workshop


class Clock:
    def __init__(self) -> None:
        self.now: datetime = NOW

    def __call__(self) -> datetime:
        return self.now

    def wait(self, time: timedelta) -> None:
        self.now += time


@pytest.fixture(name="clock")
def _clock() -> Clock:
    return Clock()


@pytest.fixture(name="terminal")
def _terminal(shop: SmallShop, clock: Clock) -> Workshop:
    return Workshop.open(shop.url, terminal="door", overlay=shop.sheets, clock=clock)


def wrong(terminal: Workshop, clock: Clock, times: int) -> None:
    """So many wrong PINs, each after the wait that is asked for."""
    for number in range(times):
        clock.wait(wait_after(number))
        with pytest.raises(Refused, match="not the PIN of Tomasz Reyes"):
            terminal.sign_on("Tomasz", "9999")


def test_three_tries_are_free_then_it_waits(terminal: Workshop, clock: Clock) -> None:
    wrong(terminal, clock, 3)
    with pytest.raises(Refused, match=r"3 wrong PINs in a row: the next one counts in 1 s. Nothing was tried"):
        terminal.sign_on("Tomasz", PIN)
    clock.wait(timedelta(seconds=1))
    assert terminal.sign_on("Tomasz", PIN).name == "Tomasz Reyes"
    wrong(terminal, clock, 3)  # counted from nought again


def test_after_ten_it_is_locked_until_a_lead_sets_a_new_one(terminal: Workshop, clock: Clock, shop: SmallShop) -> None:
    wrong(terminal, clock, LOCKED_AT)
    clock.wait(timedelta(days=30))
    with pytest.raises(Refused, match="locked"):
        terminal.sign_on("Tomasz", PIN)
    assert terminal.sign_on(shop.technician).name == "Tomasz Reyes", "the badge still signs on"
    terminal.registry.set_pin(shop.technician, "1357", shop.lead)
    assert terminal.sign_on("Tomasz", "1357").tag == shop.technician


def test_wrong_pins_at_a_release_are_counted_although_nothing_is_released(
    terminal: Workshop, clock: Clock, shop: SmallShop
) -> None:
    tag = shop.ready()
    for number in range(LOCKED_AT):
        clock.wait(wait_after(number))
        with pytest.raises(Refused, match="not the PIN"):
            terminal.release(tag, shop.clerk, "9999", "repaired")
    clock.wait(LONGEST_WAIT)
    with pytest.raises(Refused, match="locked"):
        terminal.release(tag, shop.clerk, PIN, "repaired")
    assert terminal.unit(tag).unit.release is None


def test_two_terminals_guess_no_faster_than_one(shop: SmallShop) -> None:
    def guess(name: str) -> int:
        terminal = shop.terminal(name)
        tried = 0
        for _ in range(6):
            with pytest.raises(Refused) as told:
                terminal.sign_on("Hana", "9999")
            tried += "not the PIN" in str(told.value)
        terminal.close()
        return tried

    with ThreadPoolExecutor(2) as hands:
        assert sum(hands.map(guess, ("door 1", "door 2"))) == 3


@given(st.integers(0, 200))
def test_the_wait_never_shrinks_and_never_passes_its_end(number: int) -> None:
    assert timedelta() <= wait_after(number) <= wait_after(number + 1) <= LONGEST_WAIT
